package schedule_test

import (
	"context"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// resting is a thing that rests in one place for a day after two hours, and is asked for in another
// and in the same one meanwhile.
func resting(t *testing.T) *schedule.Problem {
	t.Helper()
	at := func(place int, hold schedule.Hold) []schedule.Need {
		return []schedule.Need{{Quantity: 1, Hold: hold, State: place}}
	}
	a := shop(t)
	return &schedule.Problem{
		Axis: a, DataDate: a.From().UTC(),
		Network: network(t, []schedule.Activity{
			{
				Name: "rest", Work: 8, Tail: 24 * schedule.Hour,
				Needs: at(1, schedule.HoldThroughTail),
			},
			{Name: "elsewhere", Work: 8, Needs: at(2, schedule.HoldToFinish), Order: 1},
			{Name: "beside it", Work: 8, Needs: at(1, schedule.HoldToFinish), Order: 2},
		}),
		Stations: []schedule.Station{{Name: "place", Capacity: 9}},
	}
}

func TestAThingIsInOnePlaceAtATime(t *testing.T) {
	t.Parallel()
	p := resting(t)
	a := p.Axis
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"Mon 02 Mar 08:00", "Tue 03 Mar 10:00", "Mon 02 Mar 08:00"} {
		if got := clock(a, plan.Placements[i].Start); got != want {
			t.Errorf("%s starts %s, want %s", p.Network.Activity(i).Name, got, want)
		}
	}
	if d := plan.Placements[1].Driver; d.Kind != schedule.DriverClash || d.Activity != 0 {
		t.Errorf("it is elsewhere late because of %+v, want its rest", d)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
	start, _ := a.StartOf(39)
	finish, _ := a.EndOf(46)
	plan.Placements[1].Dates = schedule.Dates{
		StartTick: 39, FinishTick: 47, Start: start, Finish: finish, TailEnd: finish,
	}
	found := verify.Plan(p, plan)
	if len(found) == 0 || found[0].Kind != verify.State ||
		!strings.HasPrefix(found[0].Detail, "elsewhere ") {
		t.Errorf("elsewhere during its rest: %v", found)
	}
}

func TestWhatKeepsAThingSomewhereHoldsBackWorkElsewhere(t *testing.T) {
	t.Parallel()
	p := resting(t)
	p.Reservations = []schedule.Reservation{{
		Name: "kept", Quantity: 1, State: 2, From: p.DataDate, To: on(t, 3, 4, 9, 0),
	}}
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	rest := plan.Placements[0]
	if clock(p.Axis, rest.Start) != "Wed 04 Mar 09:00" || rest.Driver.Reservation != 0 ||
		rest.Driver.Kind != schedule.DriverClash {
		t.Errorf("the rest starts %s because of %+v", clock(p.Axis, rest.Start), rest.Driver)
	}
	if got := clock(p.Axis, plan.Placements[1].Start); got != "Mon 02 Mar 08:00" {
		t.Errorf("what is done where it is kept starts %s", got)
	}
}

func TestAStationHasStatesOrNone(t *testing.T) {
	t.Parallel()
	p := resting(t)
	p.Reservations = []schedule.Reservation{{
		Name: "kept", Quantity: 1, From: p.DataDate, To: on(t, 3, 4, 9, 0),
	}}
	if _, err := p.Plan(context.Background(), schedule.Options{}); err == nil ||
		!strings.Contains(err.Error(), "state") {
		t.Errorf("a reservation without a state: %v", err)
	}
	p = resting(t)
	p.Network = network(t, []schedule.Activity{
		{Name: "here", Work: 1, Needs: []schedule.Need{{Quantity: 1, State: 1}}},
		{Name: "anywhere", Work: 1, Needs: []schedule.Need{{Quantity: 1}}},
	})
	if _, err := p.Plan(context.Background(), schedule.Options{}); err == nil ||
		!strings.Contains(err.Error(), "state") {
		t.Errorf("a need without a state: %v", err)
	}
}

// The planner must agree with the definition, minute by minute: what is movable overlaps nothing
// that is in another place.
func TestNothingIsEverInTwoPlaces(t *testing.T) {
	t.Parallel()
	a := shop(t)
	met := 0
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, false)
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 40})
		if err != nil {
			return
		}
		for i, x := range plan.Placements {
			for j, y := range plan.Placements[:i] {
				one, other := p.Network.Activity(i), p.Network.Activity(j)
				if !one.FixedStart.IsZero() && !other.FixedStart.IsZero() {
					continue
				}
				for _, u := range one.Needs {
					for _, w := range other.Needs {
						if u.Station != w.Station || u.State == w.State {
							continue
						}
						met++
						for at := max(x.Start, y.Start); at < min(x.TailEnd, y.TailEnd); at++ {
							if holdsAt(a, u.Hold, &x.Dates, at) && holdsAt(a, w.Hold, &y.Dates, at) {
								rt.Fatalf("%s and %s are in different places at %v", one.Name,
									other.Name, at.UTC())
							}
						}
					}
				}
			}
		}
	})
	t.Logf("%d pairs needed one thing in different places", met)
	if !testing.Short() && met == 0 {
		t.Error("no two activities needed one thing in different places: nothing to see")
	}
}

// holdsAt reports whether a hold covers the minute from an instant.
func holdsAt(a *schedule.Axis, h schedule.Hold, d *schedule.Dates, at schedule.Instant) bool {
	switch h {
	case schedule.HoldThroughTail:
		return d.Start <= at && at < d.TailEnd
	case schedule.HoldToFinish:
		return d.Start <= at && at < d.Finish
	case schedule.HoldWorking:
	}
	next, _ := a.FirstFrom(at + 1)
	start, _ := a.StartOf(max(next-1, 0))
	return next > d.StartTick && next <= d.FinishTick && start <= at &&
		at < start.Add(schedule.TickMinutes)
}
