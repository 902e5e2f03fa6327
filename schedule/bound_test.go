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

// waiting is work that waits for a bench from its release on, and what its time costs a tick.
type waiting struct {
	release, work, tail int
	rate                int64
}

// relaxed returns what the work costs at least if a bench may turn from one to another at any
// moment: the one with the highest rate per tick of work is on it whenever it is there, and its
// mean busy time, half its work and its tail give the end (Goemans 1997, from memory). It goes tick
// by tick, in half ticks and in rate, so all is exact.
func relaxed(list []waiting) float64 {
	left, sum := make([]int, len(list)), make([]int, len(list))
	rest := 0
	for i, w := range list {
		left[i] = w.work
		rest += w.work
	}
	for now := 0; rest > 0; now++ {
		on := -1
		for i, w := range list {
			if left[i] > 0 && w.release <= now &&
				(on < 0 || w.rate*int64(list[on].work) > list[on].rate*int64(w.work)) {
				on = i
			}
		}
		if on >= 0 {
			sum[on] += 2*now + 1
			left[on]--
			rest--
		}
	}
	cost := 0.0
	for i, w := range list {
		mean := float64(sum[i]) / float64(2*w.work)
		cost += float64(w.rate) * (mean + float64(w.work)/2 + float64(w.tail))
	}
	return cost
}

// On one bench the bound is that of work which may be interrupted, whatever the order in which it
// comes: never less, and what is due only adds to it.
func TestABenchCostsNoLessThanIfWorkCouldBeInterrupted(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 1000)
	holds := []schedule.Hold{schedule.HoldWorking, schedule.HoldToFinish}
	rapid.Check(t, func(rt *rapid.T) {
		p := &schedule.Problem{
			Axis: a, DataDate: epoch, Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		}
		p.Stations[0].Capacity = rapid.IntRange(1, 3).Draw(rt, "capacity")
		var activities []schedule.Activity
		var list []waiting
		separate := 0.0 // what each costs without the others
		for i := range rapid.IntRange(2, 6).Draw(rt, "activities") {
			w := waiting{
				rapid.IntRange(0, 30).Draw(rt, "release"), rapid.IntRange(1, 12).Draw(rt, "work"),
				rapid.IntRange(0, 8).Draw(rt, "tail"), rapid.Int64Range(1, 9).Draw(rt, "rate"),
			}
			list = append(list, w)
			separate += float64(w.rate) * float64(w.release+w.work+w.tail)
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: schedule.Ticks(w.work), Tail: schedule.Minutes(15 * w.tail),
				Release: schedule.Instant(15 * w.release).UTC(),
				Needs: []schedule.Need{{
					Quantity: p.Stations[0].Capacity,
					Hold:     rapid.SampledFrom(holds).Draw(rt, "hold"),
				}},
			})
			p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: perTick * w.rate})
		}
		var err error
		if p.Network, err = schedule.NewNetwork(activities, nil); err != nil {
			rt.Fatal(err)
		}
		want := max(separate, relaxed(list))
		got := float64(boundOf(t, p, 100).LowerBound) / 1e6
		if got < want-1e-3 || got > want+1e-3 {
			rt.Fatalf("at least %v, want %v; each alone %v", got, want, separate)
		}
		k := rapid.IntRange(0, len(list)-1).Draw(rt, "promised")
		p.Costs[k].Due, p.Costs[k].LatePerDay = epoch, perTick
		list[k].rate++
		late := float64(boundOf(t, p, 3000).LowerBound) / 1e6
		most := max(separate, relaxed(list)) + float64(list[k].work+list[k].tail+list[k].release)
		if late < want-1e-3 || late > most+1e-3 {
			rt.Fatalf("at least %v when one is late from the first tick, and %v when not", late, want)
		}
	})
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
