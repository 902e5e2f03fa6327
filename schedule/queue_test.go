package schedule_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
)

// because tells a placement as a person would.
func because(n *schedule.Network, a *schedule.Axis, p *queued, i int) string {
	at := p.Placements[i]
	text := fmt.Sprintf("%s %s, %v", n.Activity(i).Name, clock(a, at.Start), at.Driver.Kind)
	if at.Driver.Kind == schedule.DriverLink {
		text += " from " + n.Activity(at.Driver.Activity).Name
	}
	if at.Driver.Kind == schedule.DriverStation {
		text += " " + p.Stations[at.Driver.Station].Name + " with "
		if at.Driver.Reservation >= 0 {
			text += p.Reservations[at.Driver.Reservation].Name
		} else {
			text += n.Activity(at.Driver.Activity).Name
		}
	}
	if at.Driver.Ready < at.Start {
		text += ", closed since " + clock(a, at.Driver.Ready)
	}
	return text
}

func story(n *schedule.Network, a *schedule.Axis, p *queued) string {
	lines := make([]string, n.Len())
	for i := range lines {
		lines[i] = because(n, a, p, i)
	}
	return strings.Join(lines, "\n")
}

func TestQueueTellsWhatEachWaitsFor(t *testing.T) {
	t.Parallel()
	a := shop(t)
	booth := func(hold schedule.Hold) []schedule.Need {
		return []schedule.Need{{Station: 0, Quantity: 1, Hold: hold}}
	}
	n := network(t, []schedule.Activity{
		{
			Name: "spray ours", Work: 8, Tail: 3 * schedule.Day,
			Needs: booth(schedule.HoldThroughTail), Order: 2,
		},
		{Name: "prepare theirs", Work: 4, Order: 1},
		{
			Name: "spray theirs", Work: 8, Tail: schedule.Day,
			Needs: booth(schedule.HoldThroughTail), Order: 1,
		},
		{
			Name: "under way", Work: 4, FixedStart: on(t, 3, 2, 8, 0),
			Needs: booth(schedule.HoldWorking),
		},
		{Name: "collect", Release: on(t, 3, 7, 12, 0), Order: 3},
	}, schedule.Link{From: "prepare theirs", To: "spray theirs"})
	stations := []schedule.Station{{Name: "booth", Capacity: 1}}
	busy := []schedule.Reservation{
		{
			Name: "filter service", Station: 0, Quantity: 1, From: on(t, 3, 3, 8, 0),
			To: on(t, 3, 3, 12, 0),
		},
	}
	p, err := queue(n, a, on(t, 3, 2, 8, 0), stations, busy)
	if err != nil {
		t.Fatal(err)
	}
	// Theirs goes first by order. Sprayed on Monday it would still be drying when the service comes
	// on Tuesday, so it goes after that; ours follows when theirs is dry.
	want := strings.Join([]string{
		"spray ours Wed 04 Mar 15:00, station booth with spray theirs",
		"prepare theirs Mon 02 Mar 08:00, data date",
		"spray theirs Tue 03 Mar 13:00, station booth with filter service, closed since Tue 03 Mar 12:00",
		"under way Mon 02 Mar 08:00, fixed start",
		"collect Sat 07 Mar 12:00, release",
	}, "\n")
	if got := story(n, a, p); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if found := p.broken(); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
	if got := clock(a, p.Finish); got != "Sat 07 Mar 17:00" {
		t.Errorf("finish %s", got)
	}
}

func TestQueueServesEqualOrdersByLateFinish(t *testing.T) {
	t.Parallel()
	a := shop(t)
	bench := []schedule.Need{{Quantity: 1}}
	n := network(t, []schedule.Activity{
		{Name: "can wait", Work: 4, Needs: bench},
		{Name: "urgent", Work: 4, Needs: bench},
		{Name: "equally urgent", Work: 4, Needs: bench},
		{Name: "long after", Work: 40},
	},
		[]schedule.Link{
			{From: "urgent", To: "long after"}, {From: "equally urgent", To: "long after"},
		}...)
	p, err := queue(n, a, on(t, 3, 2, 8, 0), []schedule.Station{{Name: "bench", Capacity: 1}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Join([]string{
		"can wait Mon 02 Mar 10:00, station bench with equally urgent",
		"urgent Mon 02 Mar 08:00, data date",
		"equally urgent Mon 02 Mar 09:00, station bench with urgent",
		"long after Mon 02 Mar 10:00, link from equally urgent",
	}, "\n")
	if got := story(n, a, p); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A drying room is let from Friday evening to Sunday evening; work of two hours is due across that
// weekend.
func TestHoldsDifferOverClosedHours(t *testing.T) {
	t.Parallel()
	a := shop(t)
	weekend := []schedule.Reservation{
		{Name: "let", Quantity: 1, From: on(t, 3, 6, 17, 0), To: on(t, 3, 8, 18, 0)},
	}
	for _, c := range []struct {
		hold schedule.Hold
		want string
	}{
		{schedule.HoldWorking, "dry Fri 06 Mar 16:00, data date"},
		{
			schedule.HoldToFinish,
			"dry Mon 09 Mar 08:00, station room with let, closed since Sun 08 Mar 18:00",
		},
		{
			schedule.HoldThroughTail,
			"dry Mon 09 Mar 08:00, station room with let, closed since Sun 08 Mar 18:00",
		},
	} {
		n := network(t,
			[]schedule.Activity{
				{
					Name: "dry", Work: 8, Tail: schedule.Day,
					Needs: []schedule.Need{{Quantity: 1, Hold: c.hold}},
				},
			})
		p, err := queue(n, a, on(t, 3, 6, 16, 0), []schedule.Station{{Name: "room", Capacity: 1}},
			weekend)
		if err != nil {
			t.Fatal(err)
		}
		if got := story(n, a, p); got != c.want {
			t.Errorf("hold %d: got %s, want %s", c.hold, got, c.want)
		}
	}
}

func TestWhatIsOverCapacityTodayIsKept(t *testing.T) {
	t.Parallel()
	a := shop(t)
	need := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n := network(t, []schedule.Activity{
		{Name: "one", Work: 4, FixedStart: on(t, 3, 2, 8, 0), Needs: need},
		{Name: "two", Work: 8, FixedStart: on(t, 3, 2, 8, 0), Needs: need},
		{Name: "three", Work: 4, Needs: need},
	})
	p, err := queue(n, a, on(t, 3, 2, 8, 0), []schedule.Station{{Name: "bench", Capacity: 1}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := "one Mon 02 Mar 08:00, fixed start\ntwo Mon 02 Mar 08:00, fixed start\nthree Mon 02 Mar 10:00, station bench with two"
	if got := story(n, a, p); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if found := p.broken(); len(found) > 0 {
		t.Errorf("two facts that collide are no fault of the plan: %v", found)
	}
}

// The second coat's booth is let until Thursday noon: the first coat, which it must follow within a
// day, is held back.
func TestQueueHoldsBackWhatAMaximumLagCountsFrom(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "first coat", Work: 4, Tail: 4 * schedule.Hour},
		{Name: "second coat", Work: 4, Needs: []schedule.Need{{Quantity: 1}}},
	}, []schedule.Link{
		{From: "first coat", To: "second coat"},
		{
			From: "first coat", To: "second coat", Lag: schedule.ElapsedLag(schedule.Day),
			AtMost: true,
		},
	}...)
	let := schedule.Reservation{
		Name: "let", Quantity: 1, From: on(t, 3, 2, 8, 0), To: on(t, 3, 5, 12, 0),
	}
	p, err := queue(n, a, on(t, 3, 2, 8, 0), []schedule.Station{{Name: "booth", Capacity: 1}},
		[]schedule.Reservation{let})
	if err != nil {
		t.Fatal(err)
	}
	// Its last quarter must end on Wednesday 13:00 or later: the one after lunch.
	want := "first coat Wed 04 Mar 11:15, link from second coat\nsecond coat Thu 05 Mar 13:00, station booth with let, closed since Thu 05 Mar 12:00"
	if got := story(n, a, p); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if found := p.broken(); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
}

func TestQueueRefusals(t *testing.T) {
	t.Parallel()
	a := shop(t)
	start := a.From().UTC()
	need := func(station, quantity int) *schedule.Network {
		return network(t,
			[]schedule.Activity{
				{
					Name: "A", Work: 4,
					Needs: []schedule.Need{{Station: station, Quantity: quantity}},
				},
			})
	}
	bench := []schedule.Station{{Name: "bench", Capacity: 2}}
	for _, c := range []struct {
		name         string
		network      *schedule.Network
		stations     []schedule.Station
		reservations []schedule.Reservation
		want         string
	}{
		{
			"no capacity", need(0, 1),
			[]schedule.Station{{Name: "bench"}},
			nil,
			"station bench: capacity: must be at least 1",
		},
		{
			"more than there is", need(0, 3), bench, nil,
			"A: needs: must not exceed the capacity: 3 of bench, which has 2",
		},
		{
			"no such station", need(1, 1), bench, nil,
			"A: needs: must be stations of the problem, not 1",
		},
		{
			"reservation of no station", need(0, 1), bench,
			[]schedule.Reservation{
				{Name: "service", Station: -1, Quantity: 1, From: start, To: start.Add(1)},
			},
			"reservation service: station: must be one of the problem, not -1",
		},
		{
			"reservation of nothing", need(0, 1), bench,
			[]schedule.Reservation{{Name: "service", From: start, To: start.Add(1)}},
			"reservation service: extent: must have a quantity of at least 1 and end after its start",
		},
		{
			"reserved to the end", need(0, 2), bench,
			[]schedule.Reservation{{Name: "other", Quantity: 1, From: start, To: a.To().UTC()}},
			"A falls outside the working time laid out from 2026-03-02T00:00:00+01:00 to 2026-06-01T00:00:00+02:00",
		},
	} {
		_, err := queue(c.network, a, start, c.stations, c.reservations)
		if err == nil || err.Error() != c.want {
			t.Errorf("%s: got %v, want %s", c.name, err, c.want)
		}
	}
	var horizon *schedule.HorizonError
	if _, err := queue(need(0, 1), a, start.Add(-time.Hour), bench,
		nil); !errors.As(err, &horizon) {
		t.Errorf("data date off the axis: %v", err)
	}
}

// drawQueue puts needs and reservations to a network with tails and both kinds of lag.
func drawQueue(
	t *rapid.T, a *schedule.Axis, maximums bool,
) ([]schedule.Activity, []schedule.Link, []schedule.Station, []schedule.Reservation) {
	activities, links := drawNetwork(t, maximums)
	stations := make([]schedule.Station, rapid.IntRange(1, 3).Draw(t, "stations"))
	for i := range stations {
		stations[i] = schedule.Station{
			Name: fmt.Sprint("s", i), Capacity: rapid.IntRange(1, 3).Draw(t, "capacity"),
		}
	}
	for i := range activities {
		act := &activities[i]
		act.Tail = schedule.Minutes(max(0, rapid.IntRange(-600, 2000).Draw(t, "tail")))
		act.Order = rapid.IntRange(0, 2).Draw(t, "rank")
		for s := range stations {
			if rapid.Bool().Draw(t, "needs it") {
				act.Needs = append(act.Needs, schedule.Need{
					Station:  s,
					Quantity: rapid.IntRange(1, stations[s].Capacity).Draw(t, "quantity"),
					Hold:     schedule.Hold(rapid.IntRange(0, 2).Draw(t, "hold")),
				})
			}
		}
		if rapid.IntRange(0, 5).Draw(t, "released") == 0 {
			act.Release = a.From().Add(schedule.Minutes(rapid.IntRange(0, 10_000).Draw(t, "release"))).UTC()
		}
	}
	for i := range links {
		if rapid.Bool().Draw(t, "elapsed") {
			links[i].Lag = schedule.ElapsedLag(
				schedule.Minutes(rapid.IntRange(-300, 1500).Draw(t, "minutes")),
			)
		}
	}
	var reservations []schedule.Reservation
	for range rapid.IntRange(0, 4).Draw(t, "reservations") {
		from := a.From().Add(schedule.Minutes(rapid.IntRange(-1000, 10_000).Draw(t, "from"))).UTC()
		reservations = append(reservations, schedule.Reservation{
			Name: "other", Station: rapid.IntRange(0, len(stations)-1).Draw(t, "reserved"),
			Quantity: rapid.IntRange(1, 3).Draw(t, "of it"),
			From:     from,
			To:       from.Add(time.Duration(rapid.IntRange(1, 5000).Draw(t, "for")) * time.Minute),
		})
	}
	return activities, links, stations, reservations
}

func TestEveryQueuePlanPassesTheVerifier(t *testing.T) {
	t.Parallel()
	a := shop(t)
	planned, refused := 0, map[string]int{}
	rapid.Check(t, func(rt *rapid.T) {
		activities, links, stations, reservations := drawQueue(rt, a, true)
		n, err := schedule.NewNetwork(activities, links)
		if err != nil {
			return
		}
		dataDate := a.From().Add(schedule.Minutes(rapid.IntRange(0, 3000).Draw(rt, "data date"))).UTC()
		p, err := queue(n, a, dataDate, stations, reservations)
		if err != nil {
			refused[fmt.Sprintf("%T", err)]++
			return
		}
		planned++
		if found := p.broken(); len(found) > 0 {
			rt.Fatalf("violations: %v", found)
		}
		finish := p.DataDate
		for _, at := range p.Placements {
			finish = max(finish, at.TailEnd)
		}
		if p.Finish != finish {
			rt.Fatalf("the plan says it ends on %d, its last tail does on %d", p.Finish, finish)
		}
		path := criticalPath(t, n, a, dataDate)
		for i, at := range p.Placements {
			if at.Start < path.Activities[i].Early.Start {
				rt.Fatalf("%s starts before its early start", activities[i].Name)
			}
			if b := at.Driver; b.Ready > at.Start ||
				(b.Kind == schedule.DriverStation) != (b.Station >= 0) ||
				(b.Kind == schedule.DriverLink) != (b.Link >= 0) {
				rt.Fatalf("%s starts %d because of %+v", activities[i].Name, at.Start, b)
			}
		}
	})
	t.Logf("%d planned, refused: %v", planned, refused)
}

// With room for all, waiting for a station never happens, and the queue's dates are the early
// dates, bound by the same reasons.
func TestQueueWithUnlimitedStationsIsTheCriticalPath(t *testing.T) {
	t.Parallel()
	a := shop(t)
	rapid.Check(t, func(rt *rapid.T) {
		activities, links, stations, _ := drawQueue(rt, a, true)
		n, err := schedule.NewNetwork(activities, links)
		if err != nil {
			return
		}
		for i := range stations {
			stations[i].Capacity = 1000
		}
		path, err := schedule.CriticalPath(n, a, a.From().UTC())
		if err != nil {
			return
		}
		p, err := queue(n, a, a.From().UTC(), stations, nil)
		if err != nil {
			rt.Fatal(err)
		}
		for i, at := range p.Placements {
			if want := path.Activities[i].Early; at.Dates != want {
				rt.Fatalf("%s: got %+v, want %+v", activities[i].Name, at.Dates, want)
			}
		}
		if p.Finish != path.Finish || p.DataDate != path.DataDate {
			rt.Fatalf("finish %d, want %d", p.Finish, path.Finish)
		}
	})
}

// What the queue places first stays; so nothing in the finished plan could start earlier by itself,
// which is tried tick by tick.
func TestNothingInAQueuePlanCanStartEarlierByItself(t *testing.T) {
	t.Parallel()
	a := shop(t)
	rapid.Check(t, func(rt *rapid.T) {
		activities, links, stations, reservations := drawQueue(rt, a, false)
		n := network(t, activities, links...)
		p, err := queue(n, a, a.From().UTC(), stations, reservations)
		if err != nil {
			return
		}
		for i, at := range p.Placements {
			if activities[i].Work == 0 {
				continue
			}
			for s := schedule.Ticks(0); s < at.StartTick; s++ {
				start, _ := a.StartOf(s)
				finish, _ := a.EndOf(s + activities[i].Work - 1)
				p.Placements[i].Dates = schedule.Dates{
					StartTick: s, FinishTick: s + activities[i].Work, Start: start, Finish: finish,
					TailEnd: finish.Add(activities[i].Tail),
				}
				if len(p.broken()) == 0 {
					rt.Fatalf("%s starts on tick %d but could on %d", activities[i].Name,
						at.StartTick, s)
				}
			}
			p.Placements[i] = at
		}
	})
}

// Two activities on one bench, the second to start while the first still holds it: no order of
// placing helps.
func TestQueueGivesUpOnAMaximumLagThatTheStationForbids(t *testing.T) {
	t.Parallel()
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldThroughTail}}
	n := network(t,
		[]schedule.Activity{
			{Name: "A", Work: 4, Tail: schedule.Day, Needs: bench},
			{Name: "B", Work: 4, Needs: bench},
		},
		schedule.Link{From: "A", To: "B", Kind: schedule.StartToStart, Lag: schedule.WorkingLag(0)},
		schedule.Link{
			From: "A", To: "B", Kind: schedule.StartToStart, Lag: schedule.WorkingLag(2),
			AtMost: true,
		})
	a := openAxis(t, 300_000)
	_, err := queue(n, a, epoch, []schedule.Station{{Name: "bench", Capacity: 1}}, nil)
	want := "B could not be placed soon enough after A in 1000 attempts"
	var restart *schedule.RestartError
	if !errors.As(err, &restart) || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}
