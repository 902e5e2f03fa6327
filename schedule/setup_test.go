package schedule_test

import (
	"context"
	"slices"
	"testing"
	"time"
	_ "time/tzdata" // the zones that these tests name must not depend on the machine

	"bentside/schedule"
)

// epoch is tick 0 of an open axis.
var epoch = time.Unix(0, 0).UTC()

func zone(tb testing.TB, name string) *time.Location {
	tb.Helper()
	loc, err := time.LoadLocation(name)
	if err != nil {
		tb.Fatalf("zone %s: %v", name, err)
	}
	return loc
}

// workingWeek is Monday to Friday, 8 to 12 and 13 to 17: 32 ticks a day.
func workingWeek() schedule.Week {
	var week schedule.Week
	for day := time.Monday; day <= time.Friday; day++ {
		week[day] = []schedule.Hours{{From: schedule.At(8, 0), To: schedule.At(12, 0)}, {From: schedule.At(13, 0), To: schedule.At(17, 0)}}
	}
	return week
}

func calendar(tb testing.TB, name string, loc *time.Location, week schedule.Week, exceptions ...schedule.Exception) *schedule.Calendar {
	tb.Helper()
	c, err := schedule.NewCalendar(name, loc, week, exceptions...)
	if err != nil {
		tb.Fatalf("calendar %s: %v", name, err)
	}
	return c
}

// shop is an axis of 13 weeks over the working week, from Monday 2026-03-02 in Berlin; the spring change falls on 2026-03-29.
func shop(tb testing.TB) *schedule.Axis {
	tb.Helper()
	berlin := zone(tb, "Europe/Berlin")
	from := time.Date(2026, 3, 2, 0, 0, 0, 0, berlin)
	a, err := schedule.NewAxis(from, from.AddDate(0, 0, 7*13), calendar(tb, "shop", berlin, workingWeek()))
	if err != nil {
		tb.Fatal(err)
	}
	return a
}

func openAxis(tb testing.TB, length schedule.Ticks) *schedule.Axis {
	tb.Helper()
	a, err := schedule.NewOpenAxis(length)
	if err != nil {
		tb.Fatal(err)
	}
	return a
}

func network(tb testing.TB, activities []schedule.Activity, links ...schedule.Link) *schedule.Network {
	tb.Helper()
	n, err := schedule.NewNetwork(activities, links)
	if err != nil {
		tb.Fatalf("network: %v", err)
	}
	return n
}

func criticalPath(tb testing.TB, n *schedule.Network, a *schedule.Axis, dataDate time.Time) *schedule.Analysis {
	tb.Helper()
	r, err := schedule.CriticalPath(n, a, dataDate)
	if err != nil {
		tb.Fatalf("critical path: %v", err)
	}
	return r
}

// on is a wall-clock time in Berlin in 2026.
func on(tb testing.TB, month time.Month, day, hour, minute int) time.Time {
	tb.Helper()
	return time.Date(2026, month, day, hour, minute, 0, 0, zone(tb, "Europe/Berlin"))
}

// clock writes an instant as the shop reads it.
func clock(a *schedule.Axis, i schedule.Instant) string { return a.Time(i).Format("Mon 02 Jan 15:04") }

func names(n *schedule.Network, path []int) []string {
	out := make([]string, len(path))
	for i, at := range path {
		out[i] = n.Activity(at).Name
	}
	return out
}

// queued is a plan that is made at one go, with what it was made for.
type queued struct {
	*schedule.Plan
	problem      schedule.Problem
	Stations     []schedule.Station
	Reservations []schedule.Reservation
}

// queue plans in the order given, each at its first chance.
func queue(n *schedule.Network, a *schedule.Axis, dataDate time.Time, stations []schedule.Station, reservations []schedule.Reservation) (*queued, error) {
	q := &queued{Stations: stations, Reservations: reservations, problem: schedule.Problem{Network: n, Axis: a, DataDate: dataDate}}
	q.problem.Stations, q.problem.Reservations = stations, reservations
	var err error
	q.Plan, err = q.problem.Plan(context.Background(), schedule.Options{Schedules: 1})
	return q, err
}

// broken are the rules that the plan breaks, those of its cost apart.
func (q *queued) broken() []schedule.Violation {
	q.problem.Reservations = q.Reservations
	return slices.DeleteFunc(schedule.Verify(&q.problem, q.Plan), func(v schedule.Violation) bool { return v.Kind == schedule.ViolationCost })
}
