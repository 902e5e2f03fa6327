package schedule_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
)

// perTick is a rate of a million a quarter hour, so that no rounding hides a tick.
const perTick = 96 * 1_000_000

func boundOf(t *testing.T, p *schedule.Problem, schedules int) *schedule.Plan {
	t.Helper()
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: schedules})
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// When an instrument can be ready at the earliest, by what it waits for on one bench: the work on
// all of it, and the least that follows. Figures by hand, in ticks of a shop that never closes.
func TestAnEndWaitsForAllTheWorkOfItsBenchAndWhatFollows(t *testing.T) {
	t.Parallel()
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	both := []schedule.Need{{Quantity: 2, Hold: schedule.HoldToFinish}}
	type needs = []schedule.Need
	alone := func(work schedule.Ticks, n needs, tail schedule.Minutes) schedule.Activity {
		return schedule.Activity{Work: work, Needs: n, Tail: tail}
	}
	to := func(from string, l schedule.Link) schedule.Link {
		l.From, l.To = from, "ready"
		return l
	}
	plain := schedule.Link{}
	for _, row := range []struct {
		name     string
		capacity int
		one, two schedule.Activity
		ready    schedule.Ticks // the work of the end itself
		links    []schedule.Link
		want     int64
	}{
		{
			name: "4 and 6 on one bench, then 2", capacity: 1,
			one: alone(4, bench, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 12,
		},
		{
			name: "on two benches the longer and then 2", capacity: 2,
			one: alone(4, bench, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 8,
		},
		{
			name: "one of them on both benches: (8 + 6)/2 and then 2", capacity: 2,
			one: alone(4, both, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 9,
		},
		{
			name: "half a tick counts as one: (8 + 7)/2", capacity: 2,
			one: alone(4, both, 0), two: alone(7, bench, 0), ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 10,
		},
		{
			name: "the shorter tail follows at least", capacity: 1,
			one: alone(4, bench, 75), two: alone(6, bench, 30), ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 14,
		},
		{
			name: "a lag in place of the tails", capacity: 1,
			one: alone(4, bench, 75), two: alone(6, bench, 75), ready: 2,
			links: []schedule.Link{
				to("one", schedule.Link{Lag: schedule.ElapsedLag(45)}),
				to("two", schedule.Link{Lag: schedule.WorkingLag(3)}),
			}, want: 15,
		},
		{
			name: "one that only the finish waits for", capacity: 1,
			one: alone(4, bench, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{
				to("one", plain), to("two", schedule.Link{Kind: schedule.FinishToFinish}),
			}, want: 10,
		},
		{
			name: "one that it needn't wait for", capacity: 1,
			one: alone(4, bench, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{
				to("one", plain), to("two", schedule.Link{Kind: schedule.StartToStart}),
			}, want: 6,
		},
		{
			name: "one that may overlap by a lead", capacity: 1,
			one: alone(4, bench, 0), two: alone(6, bench, 0), ready: 2,
			links: []schedule.Link{
				to("one", plain), to("two", schedule.Link{Lag: schedule.WorkingLag(-1)}),
			}, want: 7,
		},
		{
			name: "its own tail", capacity: 1,
			one: alone(4, bench, 0), two: schedule.Activity{Work: 6, Needs: bench},
			ready: 0, links: []schedule.Link{to("one", plain), to("two", plain)}, want: 10,
		},
		{
			name: "nothing before the release of the first", capacity: 1,
			one: schedule.Activity{Work: 4, Needs: bench, Release: epoch.Add(45 * time.Minute)},
			two: schedule.Activity{Work: 6, Needs: bench, Release: epoch.Add(75 * time.Minute)}, ready: 2,
			links: []schedule.Link{to("one", plain), to("two", plain)}, want: 15,
		},
	} {
		row.one.Name, row.two.Name = "one", "two"
		p := &schedule.Problem{
			Network: network(t, []schedule.Activity{
				row.one, row.two, {Name: "ready", Work: row.ready},
			}, row.links...),
			Axis: openAxis(t, 500), DataDate: epoch,
			Stations: []schedule.Station{{Name: "bench", Capacity: row.capacity}},
			Costs:    []schedule.Cost{{Activity: 2, PerDay: perTick}},
		}
		if got := boundOf(t, p, 1).LowerBound; got != row.want*1_000_000 {
			t.Errorf("%s: ready after %v ticks, want %d", row.name, float64(got)/1e6, row.want)
		}
	}
}

// Work that can't all be done today goes on when the shop opens, and what follows it by the clock
// goes through the night.
func TestABoundCountsClosedHours(t *testing.T) {
	t.Parallel()
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldWorking}}
	a := tinyAxis(t) // 1:00 to 1:45, 3:00 to 4:00, 5:45 to 6:45
	for _, row := range []struct {
		name      string
		one, two  schedule.Ticks
		tail      schedule.Minutes
		ready     schedule.Ticks
		wantHours float64 // from 1:00
	}{
		{"both in the first stretch", 1, 2, 0, 0, 0.75},
		{"into the second", 2, 2, 0, 0, 2.25},
		{"glue that dries over the gap", 1, 2, 60, 0, 1.75},
		{"then work in the second stretch", 1, 2, 60, 1, 2.25},
		{"glue that dries into the second", 1, 2, 90, 1, 2.5},
		{"all of the second", 3, 4, 0, 0, 3},
		{"work in the third", 3, 4, 0, 1, 5},
	} {
		p := &schedule.Problem{
			Network: network(t, []schedule.Activity{
				{Name: "one", Work: row.one, Needs: bench, Tail: row.tail},
				{Name: "two", Work: row.two, Needs: bench, Tail: row.tail},
				{Name: "ready", Work: row.ready},
			}, schedule.Link{From: "one", To: "ready"}, schedule.Link{From: "two", To: "ready"}),
			Axis: a, DataDate: a.From().UTC(),
			Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
			Costs:    []schedule.Cost{{Activity: 2, PerDay: perTick}},
		}
		plan := boundOf(t, p, 1)
		if got := float64(plan.LowerBound) / 4e6; got != row.wantHours {
			t.Errorf("%s: ready after %v h, want %v", row.name, got, row.wantHours)
		}
		if !plan.Proven {
			t.Errorf("%s: costs %d, at least %d", row.name, plan.Cost, plan.LowerBound)
		}
	}
}

// waiting is one part of an instrument's work on a bench, from its release on, with the tail that
// follows it; all in ticks.
type waiting struct{ release, work, tail int }

// instrument is what has to be done before one end, whose time costs a rate a tick.
type instrument struct {
	parts []waiting
	rate  int64
}

func (x instrument) work() (sum int) {
	for _, w := range x.parts {
		sum += w.work
	}
	return sum
}

// alone returns when the instrument can be ready if there is no other, in minutes from the start of
// the axis: each part, and all of them on the bench and the least that follows.
func (x instrument) alone(a *schedule.Axis) float64 {
	first, least, ready := x.parts[0].release, x.parts[0].tail, 0.0
	for _, w := range x.parts {
		first, least = min(first, w.release), min(least, w.tail)
		ready = max(ready, workedBy(a, w.release, w.work)+float64(15*w.tail))
	}
	return max(ready, workedBy(a, first, x.work())+float64(15*least))
}

// workedBy returns the end of so many ticks of work from a release on, in minutes from the start of
// the axis.
func workedBy(a *schedule.Axis, release, work int) float64 {
	first, _ := a.FirstFrom(a.From().Add(schedule.Minutes(15 * release)))
	end, _ := a.EndOf(first + schedule.Ticks(work) - 1)
	return float64(end - a.From())
}

// relaxed returns what instruments cost at least if the bench may turn from one to another at any
// moment: the one with the highest rate per tick of all its work is on it whenever some of it is
// there. From the mean busy time to the end lies half of all its work and the least that follows,
// or on average half of each part and what follows that (Goemans 1997, from memory). It goes tick
// by tick, and reports whether every end is as late as it can be alone.
func relaxed(a *schedule.Axis, list []instrument) (cost float64, late bool) {
	left, sum := make([][]int, len(list)), make([]float64, len(list))
	rest := 0
	for i, x := range list {
		for _, w := range x.parts {
			left[i] = append(left[i], w.work)
		}
		rest += x.work()
	}
	for tick := schedule.Ticks(0); rest > 0; tick++ {
		start, _ := a.StartOf(tick)
		now := float64(start - a.From())
		on, part := -1, -1
		for i, x := range list {
			for k, w := range x.parts {
				if left[i][k] > 0 && float64(15*w.release) <= now && i != on &&
					(on < 0 || x.rate*int64(list[on].work()) > list[on].rate*int64(x.work())) {
					on, part = i, k
				}
			}
		}
		if on >= 0 {
			sum[on] += now + 7.5
			left[on][part]--
			rest--
		}
	}
	late = true
	for i, x := range list {
		work := float64(x.work())
		half, average := work/2+float64(x.parts[0].tail), 0.0
		for _, w := range x.parts {
			half = min(half, work/2+float64(w.tail))
			average += float64(w.work) / work * (float64(w.work)/2 + float64(w.tail))
		}
		end := sum[i]/work + 15*max(half, average)
		cost += float64(x.rate) * end / 15
		late = late && end >= x.alone(a)-1e-6
	}
	return cost, late
}

// On one bench the bound is that of work which may be interrupted, whatever the order in which it
// comes and the hours in which the shop is open: never less, and what is due only adds to it.
func TestABenchCostsNoLessThanIfWorkCouldBeInterrupted(t *testing.T) {
	t.Parallel()
	var week schedule.Week
	for day := range week {
		week[day] = []schedule.Shift{{From: 0, To: 120}, {From: 180, To: 420}}
	}
	closing, err := schedule.NewAxis(
		epoch, epoch.AddDate(0, 1, 0), calendar(t, "closing", time.UTC, week),
	)
	if err != nil {
		t.Fatal(err)
	}
	holds := []schedule.Hold{schedule.HoldWorking, schedule.HoldToFinish}
	exact := 0
	check := func(rt *rapid.T) {
		a, mostParts, mostWork, mostTail := openAxis(t, 1000), 3, 12, 8
		if rapid.Bool().Draw(rt, "closes") {
			// what follows half of such short work takes no longer by the clock
			a, mostParts, mostWork, mostTail = closing, 1, 4, 0
		}
		bench := rapid.IntRange(1, 3).Draw(rt, "capacity")
		p := &schedule.Problem{
			Axis: a, DataDate: epoch, Stations: []schedule.Station{{Name: "bench", Capacity: bench}},
		}
		var activities []schedule.Activity
		var links []schedule.Link
		var list []instrument
		separate := 0.0
		for i := range rapid.IntRange(2, 5).Draw(rt, "instruments") {
			x := instrument{rate: rapid.Int64Range(1, 9).Draw(rt, "rate")}
			ready := fmt.Sprint(i, " ready")
			for k := range rapid.IntRange(1, mostParts).Draw(rt, "parts") {
				w := waiting{
					rapid.IntRange(0, 30).Draw(rt, "release"),
					rapid.IntRange(1, mostWork).Draw(rt, "work"),
					rapid.IntRange(0, mostTail).Draw(rt, "tail"),
				}
				x.parts = append(x.parts, w)
				activities = append(activities, schedule.Activity{
					Name: fmt.Sprint(i, ".", k), Work: schedule.Ticks(w.work),
					Tail:    schedule.Minutes(15 * w.tail),
					Release: schedule.Instant(15 * w.release).UTC(),
					Needs: []schedule.Need{{
						Quantity: bench, Hold: rapid.SampledFrom(holds).Draw(rt, "hold"),
					}},
				})
				links = append(links, schedule.Link{From: fmt.Sprint(i, ".", k), To: ready})
			}
			p.Costs = append(p.Costs,
				schedule.Cost{Activity: len(activities), PerDay: perTick * x.rate})
			activities = append(activities, schedule.Activity{Name: ready})
			list = append(list, x)
			separate += float64(x.rate) * x.alone(a) / 15
		}
		var err error
		if p.Network, err = schedule.NewNetwork(activities, links); err != nil {
			rt.Fatal(err)
		}
		interrupted, busy := relaxed(a, list)
		want := max(separate, interrupted)
		got := float64(boundOf(t, p, 100).LowerBound) / 1e6
		if busy {
			exact++
		}
		if got < want-1e-3 || busy && got > want+1e-3 {
			rt.Fatalf("at least %v, want %v; each alone %v", got, want, separate)
		}
		k := rapid.IntRange(0, len(list)-1).Draw(rt, "promised")
		p.Costs[k].Due, p.Costs[k].LatePerDay = epoch, perTick
		late := float64(boundOf(t, p, 1000).LowerBound) / 1e6
		if late < want-1e-3+list[k].alone(a)/15 {
			rt.Fatalf("at least %v when one is late from the first tick, and %v when not", late, want)
		}
	}
	for range 2 {
		rapid.Check(t, check)
	}
	if !testing.Short() && exact < 40 {
		t.Errorf("only %d bounds could be told exactly", exact)
	}
}

// Work that dries where it was done occupies its place by the clock, so places are short there that
// are free in working hours.
func TestABoundCountsWhatDriesInItsPlace(t *testing.T) {
	t.Parallel()
	p := &schedule.Problem{
		Axis: openAxis(t, 1000), DataDate: epoch,
		Stations: []schedule.Station{{Name: "drying room", Capacity: 1}},
	}
	var activities []schedule.Activity
	for i, rate := range []int64{1, 3, 2} {
		activities = append(activities, schedule.Activity{
			Name: fmt.Sprint(i), Work: 2, Tail: 60,
			Needs: []schedule.Need{{Quantity: 1, Hold: schedule.HoldThroughTail}},
		})
		p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: rate * perTick})
	}
	p.Network = network(t, activities)
	// 6 ticks each, the dearest first: 3 × 6 + 2 × 12 + 1 × 18
	plan := boundOf(t, p, 200)
	if plan.LowerBound != 60e6 || !plan.Proven {
		t.Errorf("at least %v, proven %v; want 60", float64(plan.LowerBound)/1e6, plan.Proven)
	}
}

// Five quarter hours of work in a shop that opens for four a day take at least a day and a quarter
// of an hour, and hold their place for the ten hours that they dry: the three of them are ready
// after 2055 minutes, twice and three times that.
func TestABoundCountsTheNightInWhichAPlaceIsHeld(t *testing.T) {
	t.Parallel()
	var week schedule.Week
	for day := range week {
		week[day] = []schedule.Shift{{From: 8 * 60, To: 9 * 60}}
	}
	a, err := schedule.NewAxis(epoch, epoch.AddDate(0, 1, 0), calendar(t, "an hour", time.UTC, week))
	if err != nil {
		t.Fatal(err)
	}
	p := &schedule.Problem{
		Axis: a, DataDate: epoch, Stations: []schedule.Station{{Name: "drying room", Capacity: 1}},
	}
	var activities []schedule.Activity
	for i := range 3 {
		activities = append(activities, schedule.Activity{
			Name: fmt.Sprint(i), Work: 5, Tail: 600,
			Needs: []schedule.Need{{Quantity: 1, Hold: schedule.HoldThroughTail}},
		})
		p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: 1440 * 1000})
	}
	p.Network = network(t, activities)
	if got := boundOf(t, p, 200).LowerBound; got != 2055*(1+2+3)*1000 {
		t.Errorf("at least %v minutes, want %d", float64(got)/1000, 2055*6)
	}
}

// The last of all work ends no sooner than its station can have done it.
func TestTheFinishWaitsForTheBusiestStation(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		works     []schedule.Ticks
		tails     []schedule.Minutes
		capacity  int
		wantTicks int64
	}{
		{[]schedule.Ticks{3, 4, 5}, []schedule.Minutes{0, 0, 0}, 1, 12},
		{[]schedule.Ticks{3, 4, 5}, []schedule.Minutes{0, 0, 0}, 2, 6},
		{[]schedule.Ticks{3, 4, 6}, []schedule.Minutes{0, 0, 0}, 2, 7},
		{[]schedule.Ticks{3, 4, 5}, []schedule.Minutes{45, 30, 60}, 1, 14},
		{[]schedule.Ticks{3, 4, 50}, []schedule.Minutes{0, 0, 0}, 2, 50},
	} {
		p := &schedule.Problem{
			Axis: openAxis(t, 500), DataDate: epoch, FinishCost: perTick,
			Stations: []schedule.Station{{Name: "bench", Capacity: row.capacity}},
		}
		var activities []schedule.Activity
		for i, w := range row.works {
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: w, Tail: row.tails[i], Needs: []schedule.Need{{Quantity: 1}},
			})
		}
		p.Network = network(t, activities)
		if got := boundOf(t, p, 1).LowerBound; got != row.wantTicks*1_000_000 {
			t.Errorf("%v on %d: %v ticks, want %d", row.works, row.capacity, float64(got)/1e6, row.wantTicks)
		}
	}
}
