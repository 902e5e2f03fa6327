package schedule_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// drawBenches returns a small shop without tails: work at shared benches, some of it in a row, some
// with a price on its end.
func drawBenches(rt *rapid.T, a *schedule.Axis) *schedule.Problem {
	p := &schedule.Problem{
		Axis: a, DataDate: a.From().UTC(),
		Stations: []schedule.Station{
			{Name: "bench", Capacity: 1},
			{Name: "people", Capacity: rapid.IntRange(1, 3).Draw(rt, "people")},
			{Name: "hoist", Capacity: 1},
		},
	}
	var activities []schedule.Activity
	var links []schedule.Link
	for i := range rapid.IntRange(3, 8).Draw(rt, "activities") {
		x := schedule.Activity{
			Name: fmt.Sprint(i), Work: schedule.Ticks(rapid.IntRange(1, 20).Draw(rt, "work")),
			Order:    rapid.IntRange(0, 3).Draw(rt, "order"),
			UnderWay: rapid.IntRange(0, 19).Draw(rt, "under way") == 0,
		}
		for s := range p.Stations {
			if rapid.Bool().Draw(rt, "needs") {
				x.Needs = append(x.Needs, schedule.Need{
					Station: s, Hold: schedule.Hold(rapid.IntRange(0, 2).Draw(rt, "hold")),
					Quantity: rapid.IntRange(1, p.Stations[s].Capacity).Draw(rt, "quantity"),
				})
			}
		}
		activities = append(activities, x)
		if i > 0 && rapid.IntRange(0, 3).Draw(rt, "follows") == 0 {
			links = append(links, schedule.Link{
				From: fmt.Sprint(rapid.IntRange(0, i-1).Draw(rt, "after")), To: x.Name,
			})
		}
		if rapid.IntRange(0, 9).Draw(rt, "costs") == 0 {
			c := schedule.Cost{Activity: i, PerDay: rapid.Int64Range(0, 1).Draw(rt, "a day") * 9600}
			if rapid.Bool().Draw(rt, "promised") {
				c.Due, c.LatePerDay = p.DataDate, 960
			}
			p.Costs = append(p.Costs, c)
		}
	}
	var err error
	if p.Network, err = schedule.NewNetwork(activities, links); err != nil {
		rt.Fatal(err)
	}
	return p
}

// Justified to the right, everything ends as late as it can: it starts no earlier, the ends that
// cost something stay where they were, the end of all is no later, and nothing could be put off by
// itself.
func TestJustifiedToTheRightNothingCanBePutOffFurther(t *testing.T) {
	t.Parallel()
	a, moved := shop(t), 0
	check := func(rt *rapid.T) {
		p := drawBenches(rt, a)
		before, after, err := schedule.Shifted(p)
		if err != nil {
			rt.Fatal(err)
		}
		plan := planOf(p, after)
		if found := verify.Plan(p, plan); len(found) > 0 {
			rt.Fatalf("justified: %v", found)
		}
		costly := map[int]bool{}
		for _, c := range p.Costs {
			if c.PerDay > 0 || c.LatePerDay > 0 {
				costly[c.Activity] = true
			}
		}
		if finish := planOf(p, before).Finish; plan.Finish > finish {
			rt.Fatalf("ends at %d, before at %d", plan.Finish, finish)
		}
		for i, d := range after {
			x := p.Network.Activity(i)
			if d.Start < before[i].Start {
				rt.Fatalf("%s starts at %d, before at %d", x.Name, d.Start, before[i].Start)
			}
			if (costly[i] || x.UnderWay) && d != before[i] {
				rt.Fatalf("%s, whose end costs something or that is under way, has moved", x.Name)
			}
			if d != before[i] {
				moved++
			}
			if costly[i] || x.UnderWay {
				continue
			}
			for s := d.StartTick + 1; ; s++ {
				later := movedTo(a, x, s)
				if later.TailEnd > plan.Finish {
					break
				}
				plan.Placements[i].Dates = later
				if len(verify.Plan(p, plan)) == 0 {
					rt.Fatalf("%s could start at tick %d and not only at %d", x.Name, s, d.StartTick)
				}
			}
			plan.Placements[i].Dates = d
		}
	}
	for range 3 { // what can move is rare
		rapid.Check(t, check)
	}
	if !testing.Short() && moved < 100 {
		t.Errorf("only %d were put off", moved)
	}
}

// planOf returns dates as a plan with what they cost.
func planOf(p *schedule.Problem, dates []schedule.Dates) *schedule.Plan {
	plan := &schedule.Plan{
		Placements: make([]schedule.Placement, len(dates)), DataDate: p.Axis.From(),
	}
	for i := range dates {
		plan.Placements[i].Dates = dates[i]
	}
	if start, ok := p.Axis.FirstFrom(plan.DataDate); ok {
		plan.DataDate, _ = p.Axis.StartOf(start)
	}
	costOf(p, plan)
	return plan
}
