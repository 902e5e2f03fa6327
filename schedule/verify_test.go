package schedule_test

import (
	"fmt"
	"testing"
	"time"

	"bentside/schedule"
)

// A sound plan is spoiled in one way at a time; the checker must name each.
func TestVerifyNamesEachBrokenRule(t *testing.T) {
	t.Parallel()
	a := shop(t)
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n := network(t, []schedule.Activity{
		{Name: "A", Work: 4, Tail: schedule.Hour, Needs: bench, Release: on(t, 3, 2, 9, 0), Deadline: on(t, 3, 2, 17, 0)},
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
	}...)
	move := func(p *queued, i int, to schedule.Ticks) {
		work, tail := n.Activity(i).Work, n.Activity(i).Tail
		start, _ := a.StartOf(to)
		finish, _ := a.EndOf(to + work - 1)
		p.Placements[i].Dates = schedule.Dates{StartTick: to, FinishTick: to + work, Start: start, Finish: finish, TailEnd: finish.Add(tail)}
	}
	dates := func(p *queued, i int) *schedule.Dates { return &p.Placements[i].Dates }
	for _, c := range []struct {
		name  string
		spoil func(p *queued)
		want  string // kind, activity, link, station of each violation
	}{
		{"nothing", func(*queued) {}, ""},
		{"a placement missing", func(p *queued) { p.Placements = p.Placements[1:] }, "shape -1 -1 -1;"},
		{"before its release", func(p *queued) { move(p, 0, 3) }, "release 0 -1 -1;"},
		{"after its deadline, its successor and the plan", func(p *queued) { move(p, 0, 27) }, "dates 0 -1 -1;deadline 0 -1 -1;link 1 0 -1;link 1 2 -1;"},
		{"too early by both minimum links", func(p *queued) { move(p, 1, 9) }, "link 1 0 -1;link 1 2 -1;"},
		{
			"too late by an elapsed maximum", func(p *queued) {
				move(p, 1, 18)
				p.Placements[2].Dates = schedule.Dates{22, 22, p.Placements[1].Finish, p.Placements[1].Finish, p.Placements[1].Finish}
			}, "link 1 1 -1;",
		},
		{
			"too late by both maximums", func(p *queued) {
				move(p, 1, 32)
				p.Placements[2].Dates = schedule.Dates{36, 36, p.Placements[1].Finish, p.Placements[1].Finish, p.Placements[1].Finish}
				p.Finish = p.Placements[1].Finish
			}, "link 1 1 -1;link 1 3 -1;",
		},
		{"on a bench that others hold", func(p *queued) {
			p.Reservations = []schedule.Reservation{{Name: "other", Quantity: 1, From: on(t, 3, 2, 9, 59), To: on(t, 3, 2, 10, 1)}}
		}, "capacity 0 -1 0;"},
		{"just after others held it", func(p *queued) {
			p.Reservations = []schedule.Reservation{{Name: "other", Quantity: 1, From: on(t, 3, 2, 8, 0), To: on(t, 3, 2, 9, 0)}}
		}, ""},
		{"before the data date", func(p *queued) { p.DataDate = dates(p, 0).Start + 1 }, "data date -1 -1 -1;data date 0 -1 -1;"},
		{"a fixed start a tick late, past the plan", func(p *queued) { move(p, 3, 22) }, "dates 3 -1 -1;fixed start 3 -1 -1;"},
		{"a fixed start a tick early", func(p *queued) { move(p, 3, 20) }, "fixed start 3 -1 -1;"},
		{"a fixed milestone a minute late", func(p *queued) {
			d := dates(p, 4)
			d.Start, d.Finish, d.TailEnd = d.Start+1, d.Finish+1, d.TailEnd+1
		}, "fixed start 4 -1 -1;"},
		{"a start off its tick", func(p *queued) { dates(p, 0).Start++ }, "dates 0 -1 -1;link 1 2 -1;"},
		{"a finish off its tick", func(p *queued) { dates(p, 1).Finish-- }, "dates 1 -1 -1;dates 1 -1 -1;"},
		{"a tick more than the work", func(p *queued) { dates(p, 0).FinishTick++ }, "dates 0 -1 -1;dates 0 -1 -1;"},
		{"a tail cut short", func(p *queued) { dates(p, 0).TailEnd -= 30 }, "dates 0 -1 -1;"},
		{"a milestone that lasts", func(p *queued) { dates(p, 2).Finish++ }, "dates 2 -1 -1;dates 2 -1 -1;"},
		{"a milestone on the wrong tick", func(p *queued) { dates(p, 2).StartTick-- }, "dates 2 -1 -1;dates 2 -1 -1;"},
		{"a plan that ends before its work", func(p *queued) { p.Finish = dates(p, 3).TailEnd - 1 }, "dates 3 -1 -1;"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p, err := queue(n, a, a.From().UTC(), []schedule.Station{{Name: "bench", Capacity: 1}}, nil)
			if err != nil {
				t.Fatal(err)
			}
			c.spoil(p)
			got := ""
			for _, v := range p.broken() {
				got += fmt.Sprintf("%v %d %d %d;", v.Kind, v.Activity, v.Link, v.Station)
				if v.Detail == "" {
					t.Errorf("%v has no words", v.Kind)
				}
			}
			if got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestKindsHaveNames(t *testing.T) {
	t.Parallel()
	if got := fmt.Sprint(schedule.BoundDataDate, schedule.BoundRelease, schedule.BoundFixed, schedule.BoundLink, schedule.BoundStation, schedule.BoundClash, schedule.BoundFloor, schedule.BoundOrder); got != "data date release fixed start link station clash floor order" {
		t.Error(got)
	}
	if got := fmt.Sprint(schedule.Date{2026, time.March, 2}, schedule.Hours{From: 495, To: 1440}); got != "2026-03-02 08:15-24:00" {
		t.Error(got)
	}
}
