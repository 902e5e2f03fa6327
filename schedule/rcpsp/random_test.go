package rcpsp_test

import (
	"math/rand/v2"

	"pgregory.net/rapid"

	"bentside/schedule/rcpsp"
)

// kind says which features a drawn problem may have.
type kind struct {
	lags     bool // start-start, finish-finish and start-finish links with lags
	maxLags  bool
	releases bool
	varying  bool
	scaled   bool // thousands of units and many resources: several machine words
}

// drawTiny returns a problem small enough to try every plan.
func drawTiny(t *rapid.T, k kind) *rcpsp.Problem {
	p := &rcpsp.Problem{}
	scale, resources := 1, rapid.IntRange(1, 2).Draw(t, "resources")
	if k.scaled {
		scale, resources = 100_000, 5
	}
	for range resources {
		c := rcpsp.Constant(scale * rapid.IntRange(2, 4).Draw(t, "units"))
		if k.varying {
			c = append(c,
				rcpsp.Step{
					From:  rapid.IntRange(1, 4).Draw(t, "from"),
					Units: scale * rapid.IntRange(0, 3).Draw(t, "units"),
				})
		}
		p.Capacities = append(p.Capacities, c)
	}
	n := rapid.IntRange(1, 4).Draw(t, "n")
	for i := range n {
		a := rcpsp.Activity{Duration: rapid.IntRange(0, 3).Draw(t, "duration")}
		for range resources {
			a.Demand = append(a.Demand, scale*rapid.IntRange(0, 2).Draw(t, "demand"))
		}
		if k.releases && rapid.Bool().Draw(t, "released") {
			a.Release = rapid.IntRange(0, 4).Draw(t, "release")
		}
		p.Activities = append(p.Activities, a)
		for j := range i {
			if rapid.IntRange(0, 2).Draw(t, "linked") == 0 {
				p.Links = append(p.Links,
					rcpsp.Link{
						From: j, To: i, Lag: drawLag(t, k, p.Activities[j].Duration, a.Duration),
					})
			}
			if k.maxLags && rapid.IntRange(0, 3).Draw(t, "bound") == 0 {
				p.Links = append(p.Links,
					rcpsp.Link{From: i, To: j, Lag: -rapid.IntRange(0, 5).Draw(t, "most")})
			}
		}
	}
	return p
}

// drawLag returns a start-to-start lag that says finish-start, or any of the four kinds.
func drawLag(t *rapid.T, k kind, from, to int) int {
	if !k.lags {
		return from
	}
	wait := rapid.IntRange(0, 2).Draw(t, "wait")
	return wait + rapid.SampledFrom([]int{from, 0, from - to, -to}).Draw(t, "FS SS FF SF")
}

// optimum tries every start of every activity within a horizon that some shortest plan must keep;
// feasible is false when there is no plan.
func optimum(p *rcpsp.Problem) (best int, feasible bool) {
	horizon, release := 0, 0
	for _, c := range p.Capacities {
		horizon = max(horizon, c[len(c)-1].From)
	}
	for _, a := range p.Activities {
		horizon += a.Duration
		release = max(release, a.Release)
	}
	horizon += release
	for _, l := range p.Links {
		horizon += max(0, l.Lag)
	}
	best = horizon + 1
	free := make([][]int, len(p.Capacities)) // by resource and tick
	for r, c := range p.Capacities {
		free[r] = make([]int, horizon+1)
		for t := range free[r] {
			for _, s := range c {
				if s.From <= t {
					free[r][t] = s.Units
				}
			}
		}
	}
	starts := make([]int, len(p.Activities))
	var try func(i, span int)
	try = func(i, span int) {
		if i == len(p.Activities) {
			best = span
			return
		}
		a := p.Activities[i]
		for s := a.Release; max(span, s+a.Duration) < best; s++ {
			starts[i] = s
			if take(free, a, s, 1) && linked(p, starts, i) {
				try(i+1, max(span, s+a.Duration))
			}
			take(free, a, s, -1)
		}
	}
	try(0, 0)
	return best, best <= horizon
}

// take books an activity, or with sign −1 gives back, and reports whether everything still fits.
func take(free [][]int, a rcpsp.Activity, start, sign int) bool {
	fits := true
	for r := range free {
		for t := start; t < start+a.Duration; t++ {
			free[r][t] -= sign * a.Demand[r]
			fits = fits && free[r][t] >= 0
		}
	}
	return fits
}

// linked checks the links between activity i and the ones before it.
func linked(p *rcpsp.Problem, starts []int, i int) bool {
	for _, l := range p.Links {
		if max(l.From, l.To) == i && starts[l.To] < starts[l.From]+l.Lag {
			return false
		}
	}
	return true
}

// project returns a network like the published ones: n activities of 1–10 ticks with up to three
// successors among the next dozen, four resources of which each activity uses some.
func project(n int, seed uint64) *rcpsp.Problem {
	rng := rand.New(rand.NewPCG(seed, 0))
	p := &rcpsp.Problem{}
	for range 4 {
		p.Capacities = append(p.Capacities, rcpsp.Constant(14+rng.IntN(10)))
	}
	for i := range n {
		a := rcpsp.Activity{Duration: 1 + rng.IntN(10)}
		for range 4 {
			a.Demand = append(a.Demand, max(0, rng.IntN(18)-7))
		}
		p.Activities = append(p.Activities, a)
		for range 1 + rng.IntN(3) {
			if j := i + 1 + rng.IntN(12); j < n {
				p.Links = append(p.Links, rcpsp.Link{From: i, To: j, Lag: a.Duration})
			}
		}
	}
	return p
}
