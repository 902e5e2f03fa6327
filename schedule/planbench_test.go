package schedule_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"bentside/schedule"
)

// instruments returns a shop with so many instruments of so many operations each: chains with cross
// links and tails, at benches, in a booth and a drying room, by people with shared skills, no two
// operations on one body at once.
func instruments(tb testing.TB, count, operations int) *schedule.Problem {
	tb.Helper()
	berlin := zone(tb, "Europe/Berlin")
	from := time.Date(2026, 3, 2, 8, 0, 0, 0, berlin)
	years := 2 + count*operations/1500
	a, err := schedule.NewAxis(from, from.AddDate(min(years, schedule.MaxSpanYears), 0, 0),
		calendar(tb, "shop", berlin, workingWeek()))
	if err != nil {
		tb.Fatal(err)
	}
	p := &schedule.Problem{Axis: a, DataDate: from, Stations: []schedule.Station{
		{Name: "bench", Capacity: 6},
		{Name: "booth", Capacity: 2},
		{Name: "drying room", Capacity: 4},
		{Name: "everybody", Capacity: 12},
		{Name: "belly", Capacity: 6},
		{Name: "action", Capacity: 5},
		{Name: "finishing", Capacity: 4},
	}}
	var activities []schedule.Activity
	var links []schedule.Link
	for g := range count {
		group := schedule.Group{Name: fmt.Sprint("instrument ", g)}
		body := len(p.Stations)
		p.Stations = append(p.Stations, schedule.Station{Name: "body", Capacity: 1},
			schedule.Station{Name: "action", Capacity: 1})
		for k := range operations {
			x := schedule.Activity{
				Name: fmt.Sprint(g, ".", k), Work: schedule.Ticks(2 + (g+k)*7%15),
				Tail: schedule.Minutes(k % 4 * 360), Order: g,
			}
			place := []int{0, 0, 1, 2}[k%4]
			hold := []schedule.Hold{
				schedule.HoldToFinish, schedule.HoldToFinish, schedule.HoldToFinish,
				schedule.HoldThroughTail,
			}[k%4]
			x.Needs = []schedule.Need{
				{Station: place, Quantity: 1, Hold: hold},
				{Station: body + k%2, Quantity: 1, Hold: schedule.HoldToFinish},
				{Station: 3, Quantity: 1},
				{Station: 4 + k%3, Quantity: 1},
			}
			group.Activities = append(group.Activities, len(activities))
			activities = append(activities, x)
			for _, back := range []int{2, 3} {
				if k >= back {
					links = append(links,
						schedule.Link{From: fmt.Sprint(g, ".", k-back), To: x.Name})
				}
			}
		}
		p.Groups = append(p.Groups, group)
		p.Costs = append(p.Costs,
			schedule.Cost{Activity: len(activities) - 1, PerDay: int64(100 + g*37%400)})
	}
	p.Floor = 24
	p.Network = network(tb, activities, links...)
	return p
}

// BenchmarkPass is one serial generation on the calendar, with people, stations, bodies and floor;
// per-activity tells the growth against the first size in the same run.
func BenchmarkPass(b *testing.B) {
	base := 0.0
	for _, size := range []struct{ instruments, operations int }{{20, 50}, {200, 50}, {2000, 50}} {
		b.Run(fmt.Sprintf("activities=%d", size.instruments*size.operations), func(b *testing.B) {
			pass, err := schedule.Pass(instruments(b, size.instruments, size.operations))
			if err != nil {
				b.Fatal(err)
			}
			if err := pass(); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := pass(); err != nil {
					b.Fatal(err)
				}
			}
			placed := b.N * size.instruments * size.operations
			each := float64(b.Elapsed().Nanoseconds()) / float64(placed)
			if base == 0 {
				base = each
			}
			b.ReportMetric(each, "ns/activity")
			b.ReportMetric(each/base, "x-first-size")
		})
	}
}

// BenchmarkPlan is a whole search; gain is what it saves of the first plan's cost, gap what is left
// above the bound, in percent.
func BenchmarkPlan(b *testing.B) {
	for _, schedules := range []int{64, 1000} {
		b.Run(fmt.Sprintf("activities=400/schedules=%d", schedules), func(b *testing.B) {
			p := instruments(b, 20, 20)
			first, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
			if err != nil {
				b.Fatal(err)
			}
			var plan *schedule.Plan
			for b.Loop() {
				if plan, err = p.Plan(context.Background(),
					schedule.Options{Schedules: schedules, Seed: 1}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(100*float64(first.Cost-plan.Cost)/float64(first.Cost), "%gain")
			b.ReportMetric(100*float64(plan.Cost-plan.LowerBound)/float64(plan.LowerBound), "%gap")
		})
	}
}
