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

// plainEnergy raises a bound past every end that energetic reasoning refutes, in the plain way: for
// every interval between a moment at which something may begin or must, and one at which it may end
// or must, it adds up tick by tick what each activity must do there at least, wherever it starts. A
// start with which an activity brings more than the others leave is none (Baptiste, Le Pape and
// Nuijten 1999, from memory).
func plainEnergy(t *testing.T, p *rcpsp.Problem, bound, most int) int {
	t.Helper()
	for ; bound <= most; bound++ {
		low, high, err := rcpsp.Windows(p, bound)
		if err != nil {
			t.Fatal(err)
		}
		if !leavesNoStart(p, low, high) {
			break
		}
	}
	return bound
}

// unitsAt returns what is offered at a tick.
func unitsAt(c rcpsp.Capacity, tick int) (units int) {
	for _, s := range c {
		if s.From <= tick {
			units = s.Units
		}
	}
	return units
}

// within returns how many ticks of an activity fall between two moments.
func within(start, duration, a, b int) int { return max(0, min(start+duration, b)-max(start, a)) }

// leavesNoStart reports whether the plain way leaves an activity without a start.
func leavesNoStart(p *rcpsp.Problem, low, high []int) bool {
	offered := func(r, a, b int) (sum int) {
		for tick := a; tick < b; tick++ {
			sum += unitsAt(p.Capacities[r], tick)
		}
		return sum
	}
	for changed := true; changed; {
		changed = false
		for r := range p.Capacities {
			var from, to []int
			for i, x := range p.Activities {
				if x.Demand[r]*x.Duration > 0 {
					from = append(from, low[i], high[i])
					to = append(to, low[i]+x.Duration, high[i]+x.Duration)
				}
			}
			for _, a := range from {
				for _, b := range to {
					if b <= a {
						continue
					}
					least := make([]int, len(p.Activities))
					sum := 0
					for i, x := range p.Activities {
						least[i] = x.Demand[r] * min(
							within(low[i], x.Duration, a, b), within(high[i], x.Duration, a, b),
						)
						sum += least[i]
					}
					slack := offered(r, a, b) - sum
					if slack < 0 {
						return true
					}
					for i, x := range p.Activities {
						brings := func(start int) int {
							return x.Demand[r] * within(start, x.Duration, a, b)
						}
						for low[i] <= high[i] && brings(low[i]) > slack+least[i] {
							low[i]++
							changed = true
						}
						for low[i] <= high[i] && brings(high[i]) > slack+least[i] {
							high[i]--
							changed = true
						}
						if low[i] > high[i] {
							return true
						}
					}
				}
			}
		}
		for again := true; again; {
			again = false
			for _, l := range p.Links {
				if low[l.From]+l.Lag > low[l.To] {
					low[l.To], again, changed = low[l.From]+l.Lag, true, true
				}
				if high[l.To]-l.Lag < high[l.From] {
					high[l.From], again, changed = high[l.To]-l.Lag, true, true
				}
			}
		}
		for i := range low {
			if low[i] > high[i] {
				return true
			}
		}
	}
	return false
}

// Energetic reasoning comes to what it comes to when every interval is looked at tick by tick.
// Intervals are chosen by windows as far as they are narrowed then, so where the capacity changes
// the two may part, and only constant ones are compared.
func TestABoundByEnergyIsThatOfThePlainWay(t *testing.T) {
	t.Parallel()
	raised := 0
	for seed := range uint64(150) {
		p := project(5+int(seed%6), seed)
		for r := range p.Capacities {
			p.Capacities[r] = rcpsp.Constant(11)
		}
		if seed%2 == 1 {
			for i := 0; i+1 < len(p.Activities); i += 3 {
				p.Links = append(p.Links, rcpsp.Link{From: i + 1, To: i, Lag: -15})
			}
		}
		got, simple, err := rcpsp.EnergyBound(p)
		if err != nil {
			t.Fatal(err)
		}
		if want := plainEnergy(t, p, simple, 200); got != want {
			t.Errorf("seed %d: bound %d, want %d; by path and capacity %d", seed, got, want, simple)
		}
		if got > simple {
			raised++
		}
	}
	if raised < 50 {
		t.Errorf("only %d bounds of 150 were raised", raised)
	}
}

// By capacity alone a resource takes until it has offered what the work needs, from the first tick
// at which any of it may start.
func TestABoundByCapacityCountsWhatIsOffered(t *testing.T) {
	t.Parallel()
	for seed := range uint64(300) {
		p := project(1+int(seed%5), seed)
		want := 0
		for r := range p.Capacities {
			p.Capacities[r] = rcpsp.Constant(3 + int(seed%7))
			if seed%2 == 1 {
				p.Capacities[r] = rcpsp.Capacity{
					{0, int(seed % 4)}, {2 + r, 7}, {4 + r, int(seed/2) % 2}, {9 + 3*r, 5},
				}
			}
			first, work := 1_000_000, 0
			for i := range p.Activities {
				a := &p.Activities[i]
				a.Release = int(seed/3)%4 + i
				if seed%5 == 0 {
					a.Demand[r] = 0
				}
				if a.Demand[r] > 0 {
					first, work = min(first, a.Release), work+a.Demand[r]*a.Duration
				}
			}
			if work == 0 {
				continue
			}
			tick := first
			for ; work > 0; tick++ {
				work -= unitsAt(p.Capacities[r], tick)
			}
			want = max(want, tick)
		}
		if got := rcpsp.CapacityBound(p, 10_000); got != want {
			t.Errorf("seed %d: bound %d, want %d", seed, got, want)
		}
		if got := rcpsp.CapacityBound(p, 4); got != min(want, 4) {
			t.Errorf("seed %d: bound %d within 4 ticks, want %d", seed, got, min(want, 4))
		}
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
