package rcpsp_test

import (
	"testing"

	"bentside/schedule/rcpsp"
)

func TestTheBoundNeverPassesTheOptimum(t *testing.T) {
	t.Parallel()
	raised := 0
	for seed := range uint64(60) {
		p := project(9+int(seed%6), seed)
		for r := range p.Capacities {
			p.Capacities[r] = rcpsp.Constant(11) // scarce, so that there is something to prove
		}
		exact := solve(t, p, rcpsp.Options{Schedules: 20_000, Seed: 1})
		if !exact.Proven {
			t.Fatalf("seed %d: no proof: %+v", seed, *exact)
		}
		simple := solve(t, p, rcpsp.Options{Schedules: 1, Seed: 1, Heuristic: true})
		strong, err := rcpsp.EnergyBound(p)
		if err != nil {
			t.Fatal(err)
		}
		if strong > exact.Makespan || strong < simple.LowerBound {
			t.Errorf("seed %d: bound %d, simple bound %d, optimum %d", seed, strong, simple.LowerBound, exact.Makespan)
		}
		if strong > simple.LowerBound {
			raised++
		}
	}
	if raised < 10 {
		t.Errorf("energetic reasoning raised the bound of %d of 60 projects, want at least 10", raised)
	}
}

// Three tasks of 3 ticks, two of which fit side by side, between a first and a
// last task of 2 ticks that use nothing: the critical path is 7 and all work over
// the capacity 5 ticks. To end by 9 all three would run at tick 4, and 10 is
// enough.
func TestWorkThatMustFallIntoOneStretchRaisesTheBound(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{Capacities: []rcpsp.Capacity{rcpsp.Constant(2)}, Activities: tasks(2, 3, 3, 3, 2)}
	p.Activities[0].Demand[0], p.Activities[4].Demand[0] = 0, 0
	for i := 1; i < 4; i++ {
		p.Links = append(p.Links, rcpsp.Link{From: 0, To: i, Lag: 2}, rcpsp.Link{From: i, To: 4, Lag: 3})
	}
	if got, err := rcpsp.EnergyBound(p); err != nil || got != 10 {
		t.Errorf("bound %d, %v; want 10", got, err)
	}
}
