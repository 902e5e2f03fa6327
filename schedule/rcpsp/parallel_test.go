package rcpsp_test

import (
	"math/rand/v2"
	"testing"

	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

func TestParallelGenerationLeavesNothingIdleThatCouldRun(t *testing.T) {
	t.Parallel()
	for seed := range uint64(20) {
		p := project(40, seed)
		pass, err := rcpsp.Parallel(p)
		if err != nil {
			t.Fatal(err)
		}
		start := make([]int32, 40)
		span := pass(listOf(p, rand.New(rand.NewPCG(seed, 5))), start)
		starts := make([]int, 40)
		for i, s := range start {
			starts[i] = int(s)
		}
		if err := verify.Plan(p, starts); err != nil || p.Makespan(starts) != int(span) {
			t.Fatalf("seed %d: %v, makespan %d of %d", seed, err, span, p.Makespan(starts))
		}
		for i := range starts {
			if tick, ok := couldRun(p, starts, i); ok {
				t.Errorf("seed %d: activity %d starts at %d, but tick %d had room for it", seed, i,
					starts[i], tick)
			}
		}
	}
}

// couldRun returns a tick before i's start at which its predecessors were done and every resource
// had room for it.
func couldRun(p *rcpsp.Problem, starts []int, i int) (tick int, ok bool) {
	ready := 0
	for _, l := range p.Links {
		if l.To == i {
			ready = max(ready, starts[l.From]+l.Lag)
		}
	}
	for t := ready; t < starts[i]; t++ {
		fits := true
		for r, c := range p.Capacities {
			free := c[0].Units - p.Activities[i].Demand[r]
			for j, a := range p.Activities {
				if starts[j] <= t && t < starts[j]+a.Duration {
					free -= a.Demand[r]
				}
			}
			fits = fits && free >= 0
		}
		if fits {
			return t, true
		}
	}
	return 0, false
}
