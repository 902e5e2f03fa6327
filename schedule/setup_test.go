package schedule_test

import (
	"context"
	"slices"
	"testing"
	"time"
	_ "time/tzdata" // the zones that these tests name must not depend on the machine

	"bentside/schedule"
	"bentside/schedule/verify"
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

// workingWeek returns Monday to Friday, 8 to 12 and 13 to 17: 32 ticks a day.
func workingWeek() schedule.Week {
	var week schedule.Week
	for day := time.Monday; day <= time.Friday; day++ {
		week[day] = []schedule.Shift{
			{From: 8 * 60, To: 12 * 60},
			{From: 13 * 60, To: 17 * 60},
		}
	}
	return week
}

func calendar(
	tb fatal, name string, loc *time.Location, week schedule.Week,
	exceptions ...schedule.Exception,
) *schedule.Calendar {
	tb.Helper()
	c, err := schedule.NewCalendar(name, loc, week, exceptions...)
	if err != nil {
		tb.Fatalf("calendar %s: %v", name, err)
	}
	return c
}

// shop returns an axis of 13 weeks over the working week, from Monday 2026-03-02 in Berlin; the
// spring change falls on 2026-03-29.
func shop(tb testing.TB) *schedule.Axis {
	tb.Helper()
	berlin := zone(tb, "Europe/Berlin")
	from := time.Date(2026, 3, 2, 0, 0, 0, 0, berlin)
	a, err := schedule.NewAxis(from, from.AddDate(0, 0, 7*13),
		calendar(tb, "shop", berlin, workingWeek()))
	if err != nil {
		tb.Fatal(err)
	}
	return a
}

// fatal is what a test and a property's draw have in common.
type fatal interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// openAxis never closes, so that one tick is one unit of plain integer time.
func openAxis(tb fatal, length schedule.Ticks) *schedule.Axis {
	tb.Helper()
	var week schedule.Week
	for day := range week {
		week[day] = []schedule.Shift{{From: 0, To: 24 * 60}}
	}
	to := schedule.Instant(0).Add(length.Minutes()).UTC()
	a, err := schedule.NewAxis(epoch, to, calendar(tb, "always", time.UTC, week))
	if err != nil {
		tb.Fatal(err)
	}
	return a
}

func network(
	tb testing.TB, activities []schedule.Activity, links ...schedule.Link,
) *schedule.Network {
	tb.Helper()
	n, err := schedule.NewNetwork(activities, links)
	if err != nil {
		tb.Fatalf("network: %v", err)
	}
	return n
}

func criticalPath(
	tb testing.TB, n *schedule.Network, a *schedule.Axis, dataDate time.Time,
) *schedule.Analysis {
	tb.Helper()
	r, err := schedule.CriticalPath(n, a, dataDate)
	if err != nil {
		tb.Fatalf("critical path: %v", err)
	}
	return r
}

// on returns a wall-clock time in Berlin in 2026.
func on(tb testing.TB, month time.Month, day, hour, minute int) time.Time {
	tb.Helper()
	return time.Date(2026, month, day, hour, minute, 0, 0, zone(tb, "Europe/Berlin"))
}

// clock writes an instant as the shop reads it.
func clock(a *schedule.Axis, i schedule.Instant) string {
	return a.Time(i).Format("Mon 02 Jan 15:04")
}

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
func queue(
	n *schedule.Network, a *schedule.Axis, dataDate time.Time, stations []schedule.Station,
	reservations []schedule.Reservation,
) (*queued, error) {
	q := &queued{
		Stations: stations, Reservations: reservations,
		problem: schedule.Problem{Network: n, Axis: a, DataDate: dataDate},
	}
	q.problem.Stations, q.problem.Reservations = stations, reservations
	var err error
	q.Plan, err = q.problem.Plan(context.Background(), schedule.Options{Schedules: 1})
	return q, err
}

// broken returns the rules that the plan breaks, those of its cost apart.
func (q *queued) broken() []verify.Violation {
	q.problem.Reservations = q.Reservations
	return slices.DeleteFunc(verify.Plan(&q.problem, q.Plan), func(v verify.Violation) bool {
		return v.Kind == verify.Cost
	})
}

// planned searches for a plan or, with parallel, makes the one of a single parallel generation.
func planned(p *schedule.Problem, schedules int, parallel bool) (*schedule.Plan, error) {
	if parallel {
		return schedule.ParallelPlan(p)
	}
	return p.Plan(context.Background(), schedule.Options{Schedules: schedules})
}
