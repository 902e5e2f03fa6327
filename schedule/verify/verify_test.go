package verify_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the zone that these tests name must not depend on the machine

	"bentside/schedule"
	"bentside/schedule/verify"
)

// on returns a wall-clock time in Berlin in 2026.
func on(tb testing.TB, month time.Month, day, hour, minute int) time.Time {
	tb.Helper()
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		tb.Fatal(err)
	}
	return time.Date(2026, month, day, hour, minute, 0, 0, berlin)
}

// workingWeeks returns an axis of 13 weeks from Monday 2026-03-02 in Berlin, Monday to Friday, 8 to
// 12 and 13 to 17: 32 ticks a day.
func workingWeeks(tb testing.TB) *schedule.Axis {
	tb.Helper()
	var week schedule.Week
	for day := time.Monday; day <= time.Friday; day++ {
		week[day] = []schedule.Shift{
			{From: 8 * 60, To: 12 * 60},
			{From: 13 * 60, To: 17 * 60},
		}
	}
	from := on(tb, 3, 2, 0, 0)
	calendar, err := schedule.NewCalendar("shop", from.Location(), week)
	if err != nil {
		tb.Fatal(err)
	}
	axis, err := schedule.NewAxis(from, from.AddDate(0, 0, 7*13), calendar)
	if err != nil {
		tb.Fatal(err)
	}
	return axis
}

// planned is a plan together with the problem that it was made for.
type planned struct {
	schedule.Problem
	*schedule.Plan
}

// A feasible plan is spoiled in one way at a time.
func TestEachBrokenRuleIsNamed(t *testing.T) {
	t.Parallel()
	a := workingWeeks(t)
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n, err := schedule.NewNetwork([]schedule.Activity{
		{
			Name: "A", Work: 4, Tail: schedule.Hour, Needs: bench, Release: on(t, 3, 2, 9, 0),
			Deadline: on(t, 3, 2, 17, 0),
		},
		{Name: "B", Work: 4, Needs: bench},
		{Name: "M"},
		{Name: "F", Work: 4, FixedStart: on(t, 3, 2, 14, 5)},
		{Name: "G", FixedStart: on(t, 3, 2, 14, 5)},
	}, []schedule.Link{
		{From: "A", To: "B"},
		{From: "A", To: "B", Lag: schedule.ElapsedLag(3 * schedule.Hour), AtMost: true},
		{From: "A", To: "B", Kind: schedule.StartToStart, Lag: schedule.WorkingLag(8)},
		{From: "A", To: "B", Lag: schedule.WorkingLag(12), AtMost: true},
		{From: "B", To: "M"},
	})
	if err != nil {
		t.Fatal(err)
	}
	move := func(p *planned, i int, to schedule.Ticks) {
		work, tail := n.Activity(i).Work, n.Activity(i).Tail
		start, _ := a.StartOf(to)
		finish, _ := a.EndOf(to + work - 1)
		p.Placements[i].Dates = schedule.Dates{
			StartTick: to, FinishTick: to + work, Start: start, Finish: finish,
			TailEnd: finish.Add(tail),
		}
	}
	milestone := func(tick schedule.Ticks, at schedule.Instant) schedule.Dates {
		return schedule.Dates{StartTick: tick, FinishTick: tick, Start: at, Finish: at, TailEnd: at}
	}
	dates := func(p *planned, i int) *schedule.Dates { return &p.Placements[i].Dates }
	for _, c := range []struct {
		name  string
		spoil func(p *planned)
		want  []string // how each violation begins: its kind and what is at fault
	}{
		{"nothing", func(*planned) {}, nil},
		{
			"a placement missing", func(p *planned) { p.Placements = p.Placements[1:] },
			[]string{"shape: 4 placements for 5 activities"},
		},
		{"before its release", func(p *planned) { move(p, 0, 3) }, []string{"release: A "}},
		{
			"after its deadline, its successor and the plan", func(p *planned) { move(p, 0, 27) },
			[]string{
				"dates: A", "deadline: A ", "link: B does not keep link 0 ", "link: B does not keep link 2 ",
			},
		},
		{
			"too early by both minimum links", func(p *planned) { move(p, 1, 9) },
			[]string{"link: B does not keep link 0 ", "link: B does not keep link 2 "},
		},
		{
			"too late by an elapsed maximum", func(p *planned) {
				move(p, 1, 18)
				p.Placements[2].Dates = milestone(22, p.Placements[1].Finish)
			}, []string{"link: B does not keep link 1 "},
		},
		{
			"too late by both maximums", func(p *planned) {
				move(p, 1, 32)
				p.Placements[2].Dates = milestone(36, p.Placements[1].Finish)
				p.Finish = p.Placements[1].Finish
			}, []string{"link: B does not keep link 1 ", "link: B does not keep link 3 "},
		},
		{"on a bench that others hold", func(p *planned) {
			p.Reservations = []schedule.Reservation{
				{Name: "other", Quantity: 1, From: on(t, 3, 2, 9, 59), To: on(t, 3, 2, 10, 1)},
			}
		}, []string{"capacity: A uses bench "}},
		{"just after others held it", func(p *planned) {
			p.Reservations = []schedule.Reservation{
				{Name: "other", Quantity: 1, From: on(t, 3, 2, 8, 0), To: on(t, 3, 2, 9, 0)},
			}
		}, nil},
		{
			"before the data date", func(p *planned) { p.Plan.DataDate = dates(p, 0).Start + 1 },
			[]string{"data date: the plan ", "data date: A "},
		},
		{
			"a fixed start a tick late, past the plan", func(p *planned) { move(p, 3, 22) },
			[]string{"dates: F", "fixed start: F "},
		},
		{"a fixed start a tick early", func(p *planned) { move(p, 3, 20) }, []string{"fixed start: F "}},
		{"a fixed milestone a minute late", func(p *planned) {
			d := dates(p, 4)
			d.Start, d.Finish, d.TailEnd = d.Start+1, d.Finish+1, d.TailEnd+1
		}, []string{"fixed start: G "}},
		{
			"a start off its tick", func(p *planned) { dates(p, 0).Start++ },
			[]string{"dates: A", "link: B does not keep link 2 "},
		},
		{
			"a finish off its tick", func(p *planned) { dates(p, 1).Finish-- },
			[]string{"dates: B", "dates: B"},
		},
		{
			"a tick more than the work", func(p *planned) { dates(p, 0).FinishTick++ },
			[]string{"dates: A", "dates: A"},
		},
		{"a tail cut short", func(p *planned) { dates(p, 0).TailEnd -= 30 }, []string{"dates: A"}},
		{
			"a milestone that lasts", func(p *planned) { dates(p, 2).Finish++ },
			[]string{"dates: M", "dates: M"},
		},
		{
			"a milestone on the wrong tick", func(p *planned) { dates(p, 2).StartTick-- },
			[]string{"dates: M", "dates: M"},
		},
		{
			"a plan that ends before its work",
			func(p *planned) { p.Finish = dates(p, 3).TailEnd - 1 },
			[]string{"dates: F"},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := &planned{Problem: schedule.Problem{
				Network: n, Axis: a, DataDate: a.From().UTC(),
				Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
			}}
			var err error
			if p.Plan, err = p.Problem.Plan(context.Background(),
				schedule.Options{Schedules: 1}); err != nil {
				t.Fatal(err)
			}
			c.spoil(p)
			var got []string
			for _, v := range verify.Plan(&p.Problem, p.Plan) {
				if v.Kind != verify.Cost { // moved dates cost something else; the cost has its own test
					got = append(got, fmt.Sprintf("%v: %s", v.Kind, v.Detail))
				}
			}
			if !slices.EqualFunc(got, c.want, strings.HasPrefix) {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// Ten days of capital at 24 a day, two of them late at 240 a day, and 24 a day for the finish: 240
// + 480 + 240.
func TestTheCostIsAddedUpFromTheDates(t *testing.T) {
	t.Parallel()
	a := workingWeeks(t)
	n, err := schedule.NewNetwork([]schedule.Activity{{Name: "cure", Tail: 10 * schedule.Day}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	eight := on(t, 3, 2, 8, 0)
	p := &schedule.Problem{
		Network: n, Axis: a, DataDate: eight, FinishCost: 24,
		Costs: []schedule.Cost{
			{Activity: 0, PerDay: 24, Due: eight.AddDate(0, 0, 8), LatePerDay: 240},
		},
	}
	start := schedule.InstantAfter(eight)
	end := start.Add(10 * schedule.Day)
	for _, c := range []struct {
		name          string
		finish        schedule.Instant
		cost, atLeast int64
		proven, want  bool
	}{
		{"the sum", end, 960, 700, false, true},
		{"the sum, which is the bound too", end, 960, 960, true, true},
		{"a unit too little", end, 959, 700, false, false},
		{"a unit too much", end, 961, 700, false, false},
		{"less than every plan costs", end, 960, 961, false, false},
		{"a bound that is met but not called a proof", end, 960, 960, false, false},
		{"a proof without its bound", end, 960, 959, true, false},
		{"a finish after the last tail", end + 1, 960, 700, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			plan := &schedule.Plan{
				Placements: []schedule.Placement{
					{Dates: schedule.Dates{Start: start, Finish: start, TailEnd: end}},
				},
				DataDate: start, Finish: c.finish, Cost: c.cost, LowerBound: c.atLeast,
				Proven: c.proven,
			}
			found := verify.Plan(p, plan)
			if got := len(found) == 0; got != c.want || !got && found[0].Kind != verify.Cost {
				t.Errorf("found %v, want accepted: %v", found, c.want)
			}
		})
	}
}
