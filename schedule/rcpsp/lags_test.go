package rcpsp_test

import (
	"math/rand/v2"
	"testing"

	"bentside/schedule/rcpsp"
)

// Windows fix what is before and after them, which overlaps and long waits can reach across:
// networks large enough that windows are tried on them.
func TestPlansKeepOverlapsAndWaitsThatReachAcrossWindows(t *testing.T) {
	t.Parallel()
	for name, relag := range map[string]func(rng *rand.Rand, p *rcpsp.Problem){
		"a successor may begin before its predecessor is done": func(rng *rand.Rand,
			p *rcpsp.Problem,
		) {
			for k, l := range p.Links {
				p.Links[k].Lag = rng.IntN(p.Activities[l.From].Duration/3 + 1)
			}
		},
		"half may begin together": func(rng *rand.Rand, p *rcpsp.Problem) {
			for k := range p.Links {
				if rng.IntN(2) == 0 {
					p.Links[k].Lag = 0
				}
			}
		},
		"long waits from early to late": func(rng *rand.Rand, p *rcpsp.Problem) {
			for r := range p.Capacities {
				p.Capacities[r] = rcpsp.Constant(11)
			}
			n := len(p.Activities)
			for range 12 {
				i, j := rng.IntN(n/2), n/2+rng.IntN(n/2)
				p.Links = append(p.Links,
					rcpsp.Link{From: i, To: j, Lag: p.Activities[i].Duration + 20 + rng.IntN(60)})
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			for seed := range uint64(120) {
				p := project(60, seed)
				relag(rand.New(rand.NewPCG(seed, 77)), p)
				solve(t, p, rcpsp.Options{Schedules: 500, Seed: 1, Heuristic: true}) // and verifies
			}
		})
	}
}
