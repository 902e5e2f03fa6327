package rcpsp_test

import (
	"testing"

	"bentside/schedule/rcpsp"
)

func TestTheBoundNeverPassesTheOptimum(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*rcpsp.Problem){
		"lists": func(*rcpsp.Problem) {},
		"maximum lags": func(p *rcpsp.Problem) {
			for i := 0; i+1 < len(p.Activities); i += 3 {
				p.Links = append(p.Links, rcpsp.Link{From: i + 1, To: i, Lag: -15})
			}
		},
		"varying capacity": func(p *rcpsp.Problem) {
			for r, c := range p.Capacities {
				p.Capacities[r] = rcpsp.Capacity{
					{0, 6}, {4 + r, c[0].Units}, {12 + r, 5}, {20 + r, c[0].Units},
				}
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			raised := 0
			for seed := range uint64(60) {
				p := project(9+int(seed%6), seed)
				for r := range p.Capacities {
					// scarce, so that there is something to prove
					p.Capacities[r] = rcpsp.Constant(11)
				}
				change(p)
				exact := solve(t, p, rcpsp.Options{Schedules: 20_000, Seed: 1})
				if !exact.Proven {
					t.Fatalf("seed %d: no proof: %+v", seed, *exact)
				}
				strong, simple, err := rcpsp.EnergyBound(p)
				if err != nil {
					t.Fatal(err)
				}
				if exact.Feasible && strong > exact.Makespan || strong < simple {
					t.Errorf("seed %d: bound %d, simple bound %d, optimum %d", seed, strong, simple,
						exact.Makespan)
				}
				if strong > simple {
					raised++
				}
			}
			if raised < 10 {
				t.Errorf(
					"energetic reasoning raised the bound of %d of 60 projects, want at least 10",
					raised,
				)
			}
		})
	}
}

// Three tasks of 3 ticks, two of which fit side by side, between a first and a last task of 2 ticks
// that use nothing: the critical path is 7 and all work over the capacity 5 ticks. To end by 9 all
// three would run at tick 4, and 10 is enough.
func TestWorkThatMustFallIntoOneStretchRaisesTheBound(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Capacities: []rcpsp.Capacity{rcpsp.Constant(2)}, Activities: tasks(2, 3, 3, 3, 2),
	}
	p.Activities[0].Demand[0], p.Activities[4].Demand[0] = 0, 0
	for i := 1; i < 4; i++ {
		p.Links = append(p.Links, rcpsp.Link{From: 0, To: i, Lag: 2},
			rcpsp.Link{From: i, To: 4, Lag: 3})
	}
	if got, _, err := rcpsp.EnergyBound(p); err != nil || got != 10 {
		t.Errorf("bound %d, %v; want 10", got, err)
	}
	// To end by 10 all nine unit-ticks must fall between 2 and 8: one unit until tick 6 leaves
	// eight.
	p.Capacities[0] = rcpsp.Capacity{{0, 1}, {6, 2}}
	if got, simple, err := rcpsp.EnergyBound(p); err != nil || got != 11 || simple >= 11 {
		t.Errorf("bound %d over %d, %v; want 11 over less", got, simple, err)
	}
}

// Energetic reasoning looks at pairs of moments, of which a long chain has billions.
func TestALongChainIsProvedByItsCriticalPathAtOnce(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Capacities: []rcpsp.Capacity{rcpsp.Constant(1)}, Activities: tasks(make([]int, 50_000)...),
	}
	for i := range p.Activities {
		p.Activities[i].Duration = 2
		if i > 0 {
			p.Links = append(p.Links, rcpsp.Link{From: i - 1, To: i, Lag: 2})
		}
	}
	if res := solve(t, p, rcpsp.Options{Schedules: 1}); res.Makespan != 100_000 || !res.Proven {
		t.Errorf("makespan %d, bound %d", res.Makespan, res.LowerBound)
	}
}
