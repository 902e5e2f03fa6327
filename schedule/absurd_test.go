package schedule_test

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// absurd draws a number that is mostly small, and now and then beyond all bounds.
func absurd(t *rapid.T, what string, most int) int64 {
	if rapid.IntRange(0, 79).Draw(t, what+" is absurd") != 57 {
		return rapid.Int64Range(0, int64(most)).Draw(t, what)
	}
	return rapid.SampledFrom([]int64{
		-1, math.MinInt64, math.MinInt32, math.MaxInt16, math.MaxInt16 + 1, math.MaxInt32 / 2,
		math.MaxInt32, math.MaxInt32 + 1, 1 << 36, 1 << 60, math.MaxInt64,
	}).Draw(t, what)
}

// absurdTime returns a time near the start of the axis, none, or one far out.
func absurdTime(t *rapid.T, what string) time.Time {
	// small numbers are drawn more often than others
	switch rapid.IntRange(0, 39).Draw(t, what+" is") {
	case 37:
		return rapid.SampledFrom([]time.Time{
			time.Date(-20_000, 1, 1, 0, 0, 0, 0, time.UTC),
			time.Date(0, 12, 31, 23, 59, 0, 0, time.UTC), time.Date(1, 1, 1, 0, 0, 0, 1, time.UTC),
			time.Date(9999, 12, 31, 0, 0, 0, 0, time.UTC),
			time.Date(10_000, 1, 1, 0, 0, 0, 0, time.UTC), time.Unix(1<<55, 0),
		}).Draw(t, what)
	case 1, 5, 6, 7:
		return epoch.Add(time.Duration(rapid.IntRange(-100, 9000).Draw(t, what)) * time.Minute)
	}
	return time.Time{}
}

func absurdActivity(t *rapid.T, name string) schedule.Activity {
	x := schedule.Activity{
		Name: name, Work: schedule.Ticks(absurd(t, "work", 20)),
		Tail:    schedule.Minutes(absurd(t, "tail", 200)),
		Release: absurdTime(t, "release"), Deadline: absurdTime(t, "deadline"),
		FixedStart: absurdTime(t, "fixed start"),
		UnderWay:   rapid.IntRange(0, 9).Draw(t, "under way") == 7,
		Order:      int(absurd(t, "order", 9)),
	}
	for k := range rapid.IntRange(0, 2).Draw(t, "needs") {
		x.Needs = append(x.Needs, schedule.Need{
			Station: k + int(absurd(t, "station", 0)), Quantity: 1 + int(absurd(t, "quantity", 0)),
			Hold: schedule.Hold(absurd(t, "hold", 2)),
		})
	}
	return x
}

func absurdLink(t *rapid.T, count int) schedule.Link {
	l := schedule.Link{
		From:   fmt.Sprint(absurd(t, "from", max(0, count-2))),
		To:     fmt.Sprint(1 + absurd(t, "to", max(0, count-2))),
		Kind:   schedule.LinkKind(absurd(t, "kind", 3)),
		AtMost: rapid.IntRange(0, 4).Draw(t, "at most") == 3,
	}
	switch rapid.IntRange(0, 2).Draw(t, "lag") {
	case 0:
		l.Lag = schedule.WorkingLag(schedule.Ticks(absurd(t, "ticks", 40)))
	case 1:
		l.Lag = schedule.ElapsedLag(schedule.Minutes(absurd(t, "minutes", 600)))
	}
	return l
}

// anyProblem plans what comes of any numbers: it is refused by an error that says something, or the
// plan is sound.
func anyProblem(t *rapid.T) { planAny(t) }

// planAny reports whether there was a plan.
func planAny(t *rapid.T) bool {
	axis := openAxis(t, schedule.Ticks(rapid.IntRange(200, 1100).Draw(t, "axis")))
	var activities []schedule.Activity
	var links []schedule.Link
	count := rapid.IntRange(0, 6).Draw(t, "activities")
	for i := range count {
		activities = append(activities, absurdActivity(t, fmt.Sprint(i)))
	}
	for range rapid.IntRange(0, 4).Draw(t, "links") {
		links = append(links, absurdLink(t, count))
	}
	n, err := schedule.NewNetwork(activities, links)
	if err != nil {
		if err.Error() == "" {
			t.Fatal("an error that says nothing")
		}
		return false
	}
	p := &schedule.Problem{
		Network: n, Axis: axis, DataDate: epoch, Floor: int(absurd(t, "floor", 2)),
		FinishCost: absurd(t, "finish cost", 99),
	}
	if late := absurdTime(t, "data date"); !late.IsZero() {
		p.DataDate = late
	}
	for k := range 3 {
		p.Stations = append(p.Stations,
			schedule.Station{
				Name: fmt.Sprint("station ", k), Capacity: int(absurd(t, "capacity", 2)) + 1,
			})
	}
	for range rapid.IntRange(0, 2).Draw(t, "reservations") {
		r := schedule.Reservation{
			Name: "kept", Station: int(absurd(t, "kept", 2)),
			Quantity: 1 + int(absurd(t, "of it", 2)), From: absurdTime(t, "since"),
			To: absurdTime(t, "until"),
		}
		if r.To.IsZero() {
			r.From, r.To = epoch, epoch.Add(time.Hour)
		}
		p.Reservations = append(p.Reservations, r)
	}
	for range rapid.IntRange(0, 1).Draw(t, "clashes") {
		p.Clashes = append(p.Clashes,
			schedule.Clash{One: int(absurd(t, "one", 0)), Other: 1 + int(absurd(t, "other", 1))})
	}
	for g := range min(rapid.IntRange(0, 2).Draw(t, "groups"), count/2) {
		p.Groups = append(p.Groups,
			schedule.Group{
				Name: "group", Activities: []int{2*g + int(absurd(t, "member", 0)), 2*g + 1},
			})
	}
	for range rapid.IntRange(0, 2).Draw(t, "costs") {
		p.Costs = append(p.Costs, schedule.Cost{
			Activity: int(absurd(t, "costly", max(0, count-1))), PerDay: absurd(t, "a day", 99),
			Due: absurdTime(t, "due"), LatePerDay: absurd(t, "late", 99),
		})
	}
	plan, err := p.Plan(context.Background(),
		schedule.Options{
			Schedules: int(min(absurd(t, "schedules", 300), 300)),
			Workers:   int(absurd(t, "workers", 2)),
		})
	if err != nil {
		if err.Error() == "" {
			t.Fatal("an error that says nothing")
		}
		return false
	}
	for _, v := range verify.Plan(p, plan) {
		if v.Kind != verify.Deadline { // which bends no plan
			t.Fatalf("%+v", v)
		}
	}
	return true
}

func TestAnyNumbersAreRefusedOrPlanned(t *testing.T) {
	t.Parallel()
	planned, refused := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		if planAny(rt) {
			planned++
		} else {
			refused++
		}
	})
	t.Logf("%d planned, %d refused", planned, refused)
	if !testing.Short() && (planned == 0 || refused == 0) {
		t.Errorf("%d planned, %d refused: nothing to see", planned, refused)
	}
}

func FuzzPlan(f *testing.F) {
	plan := rapid.MakeFuzz(anyProblem)
	f.Fuzz(func(t *testing.T, data []byte) {
		late := time.AfterFunc(20*time.Second, func() { panic("still at it after twenty seconds") })
		defer late.Stop()
		plan(t, data)
	})
}
