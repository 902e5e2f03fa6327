package rcpsp_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// The later the last of those that could go next may end beside the latest end of one, the sooner
// that one goes: regret, with a power of the bias (Drexl 1991, from memory).
func TestUrgentWorkIsListedEarlierInProportionToItsRegret(t *testing.T) {
	t.Parallel()
	// a is followed by 3 ticks more, b by 1 and c by nothing: they may be put off 3, 1 and 0 ticks
	// less than c, so their regrets are 4, 2 and 1.
	p := &rcpsp.Problem{
		Capacities: []rcpsp.Capacity{rcpsp.Constant(1)}, Activities: tasks(2, 5, 4, 3, 1),
		Links: []rcpsp.Link{{From: 0, To: 3, Lag: 2}, {From: 1, To: 4, Lag: 5}},
	}
	const count = 20_000
	for _, row := range []struct {
		bias float64
		want [3]float64
	}{
		{0, [3]float64{1. / 3, 1. / 3, 1. / 3}},
		{1, [3]float64{4. / 7, 2. / 7, 1. / 7}},
		{2, [3]float64{16. / 21, 4. / 21, 1. / 21}},
	} {
		original, lists, err := rcpsp.Lists(p, 0, row.bias, count)
		if err != nil {
			t.Fatal(err)
		}
		var first [5]int
		for _, list := range lists {
			first[original[list[0]]]++
			at := make([]int, 5)
			for k, i := range list {
				at[original[i]] = k
			}
			if len(list) != 5 || at[0] > at[3] || at[1] > at[4] {
				t.Fatalf("list %v isn't an order of the work", list)
			}
		}
		for i, want := range row.want {
			// four standard deviations of a share of 20,000
			got := float64(first[i]) / count
			if math.Abs(got-want) > 4*math.Sqrt(want*(1-want)/count) {
				t.Errorf("bias %v: %d is first in %v, want %v", row.bias, i, got, want)
			}
		}
	}
	// From the end it is the other way round: the last ones are first.
	original, lists, err := rcpsp.Lists(p, 1, 1, 200)
	if err != nil {
		t.Fatal(err)
	}
	for _, list := range lists {
		if i := original[list[0]]; i == 0 || i == 1 {
			t.Fatalf("%d is first from the end, and something follows it", i)
		}
	}
}

// A child takes its mother's place unless she is better, then perhaps the worst one's; copies are
// left out.
func TestAChildTakesThePlaceOfItsMotherOrOfTheWorst(t *testing.T) {
	t.Parallel()
	m := func(start, span int, weight int64) rcpsp.Member {
		return rcpsp.Member{Start: start, Span: span, Weight: weight}
	}
	pop := []rcpsp.Member{m(1, 20, 5), m(2, 22, 9), m(3, 22, 4), m(4, 19, 7)}
	for _, row := range []struct {
		name  string
		child rcpsp.Member
		slot  int
		takes bool
		place int // where the child is after; -1: nowhere
	}{
		{"shorter than its mother", m(9, 19, 9), 0, false, 0},
		{"as long and lighter", m(9, 20, 4), 0, false, 0},
		{"as good", m(9, 20, 5), 0, false, 0},
		{"as long and heavier", m(9, 20, 6), 0, false, -1},
		{"longer", m(9, 21, 1), 0, false, -1},
		{"longer, but not than the worst", m(9, 21, 1), 0, true, 1},
		{"as bad as the worst", m(9, 22, 9), 0, true, 1},
		{"worse than the worst", m(9, 22, 10), 0, true, -1},
		{"shorter than its mother, where it could have the worst's place", m(9, 19, 1), 0, true, 0},
		{"without a mother", m(9, 10, 1), -1, false, -1},
		{"without a mother, for the worst", m(9, 10, 1), -1, true, 1},
		{"of a mother who has left", m(9, 10, 1), 4, true, 1},
		{"of the last one", m(9, 18, 1), 3, false, 3},
		{"a copy", m(3, 22, 4), 1, true, -1},
		{"as heavy as another, and not the same", m(8, 22, 4), 1, false, 1},
	} {
		after := rcpsp.Replace(pop, row.child, row.slot, row.takes)
		want := slices.Clone(pop)
		if row.place >= 0 {
			want[row.place] = row.child
		}
		if !slices.Equal(after, want) {
			t.Errorf("%s: %v, want %v", row.name, after, want)
		}
	}
}

// Of two drawn at random, the better wins: the best of four in 7 of 16 cases, the worst in 1.
func TestATournamentIsWonByTheBetter(t *testing.T) {
	t.Parallel()
	pop := []rcpsp.Member{{1, 21, 5}, {2, 20, 9}, {3, 20, 4}, {4, 22, 1}} // ranks 2, 1, 0, 3
	rng := rand.New(rand.NewPCG(3, 4))
	const count = 16_000
	won := map[int]int{}
	for range count {
		won[rcpsp.Tournament(rng, pop, 2)]++
	}
	for k, share := range map[int]float64{2: 7. / 16, 1: 5. / 16, 0: 3. / 16, 3: 1. / 16} {
		got := float64(won[k]) / count
		if math.Abs(got-share) > 4*math.Sqrt(share*(1-share)/count) {
			t.Errorf("member %d wins %v, want %v", k, got, share)
		}
	}
}

// A child keeps a stretch of its father's plan together; before it come those that start earlier
// in its mother's, and after it the rest, both in her order.
func TestAChildKeepsAStretchOfItsFatherAndTheOrderOfItsMother(t *testing.T) {
	t.Parallel()
	mixed := 0
	for seed := range uint64(200) {
		child, father, mother, err := rcpsp.Crossed(project(30, seed%7), seed)
		if err != nil {
			t.Fatal(err)
		}
		first, last := int32(math.MaxInt32), int32(-1)
		for i, key := range child {
			if key == father[i] {
				first, last = min(first, key), max(last, key)
			}
		}
		var stretch, before, after []int
		for i, key := range child {
			switch {
			case father[i] >= first && father[i] <= last:
				stretch = append(stretch, i)
			case key < first:
				before = append(before, i)
			default:
				after = append(after, i)
			}
		}
		for _, i := range stretch {
			if child[i] != father[i] {
				t.Fatalf("seed %d: %d of the stretch from %d to %d isn't where its father has it", seed, i,
					first, last)
			}
			for _, j := range before {
				if child[j] >= child[i] {
					t.Fatalf("seed %d: %d isn't before the stretch", seed, j)
				}
			}
		}
		for _, others := range [][]int{before, after} {
			for _, i := range others {
				for _, j := range others {
					if (child[i] < child[j]) != (mother[i] < mother[j]) {
						t.Fatalf("seed %d: %d and %d aren't in their mother's order", seed, i, j)
					}
				}
			}
		}
		for _, i := range before {
			for _, j := range after {
				if mother[i] >= mother[j] {
					t.Fatalf("seed %d: %d is before and %d after the stretch", seed, i, j)
				}
			}
		}
		if len(stretch) > 0 && len(before) > 0 && len(after) > 0 {
			mixed++
		}
	}
	if mixed < 100 {
		t.Errorf("only %d of 200 children have all three", mixed)
	}
}

// doubled returns the same problem in a finer unit: each resource twice, and so many units of it
// that the engine keeps them in several words.
func doubled(p *rcpsp.Problem) *rcpsp.Problem {
	const finer = 40_000
	q := &rcpsp.Problem{Links: p.Links}
	for range 2 {
		for _, c := range p.Capacities {
			q.Capacities = append(q.Capacities, rcpsp.Constant(finer*c[0].Units))
		}
	}
	for _, a := range p.Activities {
		need := a.Demand
		a.Demand = nil
		for range 2 {
			for _, d := range need {
				a.Demand = append(a.Demand, finer*d)
			}
		}
		q.Activities = append(q.Activities, a)
	}
	return q
}

// A link joins two activities that there are.
func TestALinkToNothingIsRefused(t *testing.T) {
	t.Parallel()
	for _, l := range []rcpsp.Link{{From: -1}, {To: -1}, {From: 2}, {To: 2}} {
		p := &rcpsp.Problem{
			Capacities: []rcpsp.Capacity{rcpsp.Constant(1)}, Activities: tasks(1, 1),
			Links: []rcpsp.Link{l},
		}
		if _, err := rcpsp.Solve(t.Context(), p, rcpsp.Options{Schedules: 1}); !errors.Is(
			err, rcpsp.ErrInput,
		) {
			t.Errorf("%+v: %v", l, err)
		}
	}
}

// Windows leave a plan a plan, never a longer one, and most plans that were listed at random become
// shorter, whatever the unit.
func TestAPlanTakenThroughWindowsIsAShorterPlan(t *testing.T) {
	t.Parallel()
	shorter, gained, total := 0, 0, 0
	for seed := range uint64(40) {
		p := project(24, seed)
		if seed%2 == 1 {
			p = doubled(p)
		}
		before, after, err := rcpsp.Windowed(p, seed, 10)
		if err != nil {
			t.Fatal(err)
		}
		if err := verify.Plan(p, after); err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		was, is := p.Makespan(before), p.Makespan(after)
		if is > was {
			t.Errorf("seed %d: %d ticks, before %d", seed, is, was)
		}
		if is < was {
			shorter++
		}
		gained, total = gained+was-is, total+was
	}
	if shorter < 34 || 100*gained < 15*total { // 36, and 17 of 100 ticks, as measured
		t.Errorf("%d of 40 plans became shorter, by %d of %d ticks", shorter, gained, total)
	}
}

// Half a mechanic for eight ticks weighs as much as all of the benches for four.
func TestWorkIsMeasuredByItsShareOfAllCapacities(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Capacities: []rcpsp.Capacity{rcpsp.Constant(2), {{0, 3}, {9, 4}}},
		Activities: []rcpsp.Activity{
			{Duration: 8, Demand: []int{1, 0}},
			{Duration: 4, Demand: []int{2, 0}},
			{Duration: 5, Demand: []int{0, 0}},
			{Duration: 4, Demand: []int{1, 1}},
		},
	}
	original, work, mean, err := rcpsp.Shares(p)
	if err != nil {
		t.Fatal(err)
	}
	// shares of 1/4, 1/2, 0 and (1/2 + 1/4)/2
	want := []int64{256 * 2, 256 * 2, 0, 256 * 3 / 2}
	for k, i := range original {
		if work[k] != want[i] {
			t.Errorf("%d weighs %d, want %d", i, work[k], want[i])
		}
	}
	if mean != (8+4+4)/3 {
		t.Errorf("what needs something takes %d ticks on average, want 5", mean)
	}
}
