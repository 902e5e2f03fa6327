package schedule_test

import (
	"context"
	"fmt"
	"time"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// Two hours of gluing on a Thursday afternoon, 48 hours to set, then the next operation: the clamps
// stay on until Saturday, and work goes on when the shop opens on Monday.
func Example() {
	hours := []schedule.Shift{
		{From: 8 * 60, To: 12 * 60},
		{From: 13 * 60, To: 17 * 60},
	}
	week := schedule.Week{
		time.Monday: hours, time.Tuesday: hours, time.Wednesday: hours, time.Thursday: hours,
		time.Friday: hours,
	}
	calendar, err := schedule.NewCalendar("shop", time.UTC, week)
	if err != nil {
		fmt.Println(err)
		return
	}
	thursday := time.Date(2026, 3, 5, 13, 0, 0, 0, time.UTC)
	axis, err := schedule.NewAxis(thursday, thursday.AddDate(0, 2, 0), calendar)
	if err != nil {
		fmt.Println(err)
		return
	}
	net, err := schedule.NewNetwork([]schedule.Activity{
		{Name: "glue ribs", Work: 2 * schedule.TicksPerHour, Tail: 48 * schedule.Hour},
		{Name: "shim cracks", Work: 6 * schedule.TicksPerHour},
	}, []schedule.Link{{From: "glue ribs", To: "shim cracks"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	path, err := schedule.CriticalPath(net, axis, thursday)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, at := range path.Activities {
		fmt.Printf("%s: %s to %s, set by %s; can wait %d h\n", net.Activity(i).Name,
			axis.Time(at.Early.Start).Format("Mon 15:04"),
			axis.Time(at.Early.Finish).Format("Mon 15:04"),
			axis.Time(at.Early.TailEnd).Format("Mon 15:04"), at.TotalFloat/schedule.TicksPerHour)
	}
	fmt.Println("ready", axis.Time(path.Finish).Format("Monday 15:04"))
	// Output:
	// glue ribs: Thu 13:00 to Thu 15:00, set by Sat 15:00; can wait 10 h
	// shim cracks: Mon 08:00 to Mon 15:00, set by Mon 15:00; can wait 0 h
	// ready Monday 15:00
}

// The same bench is taken until ten: the plan says so.
func ExampleProblem_Plan() {
	calendar, err := schedule.NewCalendar("shop", time.UTC,
		schedule.Week{time.Thursday: {{From: 8 * 60, To: 17 * 60}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	eight := time.Date(2026, 3, 5, 8, 0, 0, 0, time.UTC)
	axis, err := schedule.NewAxis(eight, eight.AddDate(0, 2, 0), calendar)
	if err != nil {
		fmt.Println(err)
		return
	}
	net, err := schedule.NewNetwork([]schedule.Activity{
		{
			Name: "regulate", Work: 3 * schedule.TicksPerHour,
			Needs: []schedule.Need{{Station: 0, Quantity: 1}},
		},
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	problem := &schedule.Problem{
		Network: net, Axis: axis, DataDate: eight,
		Stations: []schedule.Station{{Name: "action bench", Capacity: 1}},
		Reservations: []schedule.Reservation{
			{
				Name: "the Mayhew upright", Station: 0, Quantity: 1, From: eight,
				To: eight.Add(2 * time.Hour),
			},
		},
	}
	plan, err := problem.Plan(context.Background(), schedule.Options{Schedules: 100, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	at := plan.Placements[0]
	fmt.Printf("starts %s: %s busy with %s\n", axis.Time(at.Start).Format("15:04"),
		problem.Stations[at.Driver.Station].Name, problem.Reservations[at.Driver.Reservation].Name)
	fmt.Println(len(verify.Plan(problem, plan)), "violations")
	// Output:
	// starts 10:00: action bench busy with the Mayhew upright
	// 0 violations
}
