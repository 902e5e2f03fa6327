package verify_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// byHand is a plan whose activities start at given ticks of the working weeks.
func byHand(t *testing.T, p *schedule.Problem, starts ...schedule.Ticks) *schedule.Plan {
	t.Helper()
	dataDate, _ := p.Axis.StartOf(0)
	plan := &schedule.Plan{DataDate: dataDate, Finish: dataDate}
	for i, from := range starts {
		activity := p.Network.Activity(i)
		start, _ := p.Axis.StartOf(from)
		finish, _ := p.Axis.EndOf(from + activity.Work - 1)
		d := schedule.Dates{
			StartTick: from, FinishTick: from + activity.Work, Start: start, Finish: finish,
			TailEnd: finish.Add(activity.Tail),
		}
		plan.Placements = append(plan.Placements, schedule.Placement{Dates: d})
		plan.Finish = max(plan.Finish, d.TailEnd)
	}
	return plan
}

// problem returns a problem on the working weeks, counted from their first tick.
func problem(t *testing.T, activities ...schedule.Activity) *schedule.Problem {
	t.Helper()
	n, err := schedule.NewNetwork(activities, nil)
	if err != nil {
		t.Fatal(err)
	}
	a := workingWeeks(t)
	return &schedule.Problem{
		Network: n, Axis: a, DataDate: on(t, 3, 2, 8, 0),
		Stations: []schedule.Station{{Name: "bench", Capacity: 1}, {Name: "booth", Capacity: 1}},
	}
}

// broken returns what a plan by hand breaks, but for its cost, which no test here states.
func broken(t *testing.T, p *schedule.Problem, starts ...schedule.Ticks) []string {
	t.Helper()
	var list []string
	for _, v := range verify.Plan(p, byHand(t, p, starts...)) {
		if v.Kind != verify.Cost {
			list = append(list, fmt.Sprintf("%v: %s", v.Kind, v.Detail))
		}
	}
	return list
}

func wantBroken(t *testing.T, name string, got []string, want ...string) {
	t.Helper()
	if !slices.EqualFunc(got, want, strings.HasPrefix) {
		t.Errorf("%s: got %q, want %q", name, got, want)
	}
}

func hold(h schedule.Hold) []schedule.Need { return []schedule.Need{{Quantity: 1, Hold: h}} }

// Two on one bench may follow each other without a gap; a tick together is one too many, and what
// can still be moved is at fault.
func TestABenchHoldsOneAtATime(t *testing.T) {
	t.Parallel()
	fixed := on(t, 3, 2, 8, 0)
	one := schedule.Activity{Name: "A", Work: 4, Needs: hold(schedule.HoldToFinish)}
	two := schedule.Activity{Name: "B", Work: 4, Needs: hold(schedule.HoldToFinish)}
	p := problem(t, one, two)
	wantBroken(t, "one after the other", broken(t, p, 0, 4))
	wantBroken(t, "a tick together", broken(t, p, 0, 3), "capacity: B uses bench")
	wantBroken(t, "the same, the other way round", broken(t, p, 3, 0), "capacity: B uses bench")
	p.Stations[0].Capacity = 2
	wantBroken(t, "two benches", broken(t, p, 0, 0))

	one.FixedStart = fixed
	wantBroken(t, "beside one that is fixed", broken(t, problem(t, one, two), 0, 0),
		"capacity: B uses bench")
	two.FixedStart = fixed
	wantBroken(t, "both fixed by somebody", broken(t, problem(t, one, two), 0, 0))
}

// At work over lunch (ticks 14 and 15 end at noon, 16 begins at 13:00): whoever needs the bench
// only while working leaves it to others meanwhile.
func TestABenchThatIsHeldWhileWorkingIsFreeInTheBreak(t *testing.T) {
	t.Parallel()
	at := func(h, m int) time.Time { return on(t, 3, 2, h, m) }
	for _, c := range []struct {
		name     string
		from, to time.Time
		// which holds the reservation breaks
		working, toFinish bool
	}{
		{"the lunch break", at(12, 0), at(13, 0), false, true},
		{"the last minute before it", at(11, 59), at(12, 0), true, true},
		{"the first minute after it", at(13, 0), at(13, 1), true, true},
		{"the second tick of the morning", at(11, 45), at(11, 46), true, true},
		{"what ends when it begins", at(11, 0), at(11, 30), false, false},
		{"what begins when it ends", at(13, 30), at(14, 0), false, false},
	} {
		for h, refused := range map[schedule.Hold]bool{
			schedule.HoldWorking: c.working, schedule.HoldToFinish: c.toFinish,
		} {
			p := problem(t, schedule.Activity{Name: "A", Work: 4, Needs: hold(h)})
			p.Reservations = []schedule.Reservation{{Name: "other", Quantity: 1, From: c.from, To: c.to}}
			var want []string
			if refused {
				want = []string{"capacity: A uses bench"}
			}
			wantBroken(t, fmt.Sprintf("%s, hold %d", c.name, h), broken(t, p, 14), want...)
		}
	}
}

// What dries where it was sprayed keeps the booth until it is dry.
func TestAStationThatIsHeldThroughTheTailIsFreeAfterIt(t *testing.T) {
	t.Parallel()
	for h, refused := range map[schedule.Hold]bool{
		schedule.HoldThroughTail: true, schedule.HoldToFinish: false,
	} {
		p := problem(t,
			schedule.Activity{Name: "spray", Work: 4, Tail: schedule.Hour, Needs: hold(h)},
			schedule.Activity{Name: "next", Work: 4, Needs: hold(schedule.HoldToFinish)})
		wantBroken(t, "when it is dry", broken(t, p, 0, 8))
		var want []string
		if refused {
			want = []string{"capacity: next uses bench"}
		}
		wantBroken(t, fmt.Sprintf("a tick before, hold %d", h), broken(t, p, 0, 7), want...)
	}
}

// Dust and open finish never meet, whoever makes either.
func TestStationsThatExcludeEachOtherAreNeverInUseAtOnce(t *testing.T) {
	t.Parallel()
	sand := schedule.Activity{Name: "sand", Work: 4, Needs: hold(schedule.HoldToFinish)}
	spray := schedule.Activity{
		Name: "spray", Work: 4, Needs: []schedule.Need{{Station: 1, Quantity: 1}},
	}
	clashing := func(activities ...schedule.Activity) *schedule.Problem {
		p := problem(t, activities...)
		p.Clashes = []schedule.Clash{{One: 0, Other: 1}}
		return p
	}
	p := clashing(sand, spray)
	wantBroken(t, "one after the other", broken(t, p, 0, 4))
	wantBroken(t, "the other way round", broken(t, p, 4, 0))
	wantBroken(t, "a tick together", broken(t, p, 0, 3),
		"clash: spray is at work while bench and booth are both in use on 2026-03-02 07:45")
	wantBroken(t, "the first can be moved alone", broken(t, func() *schedule.Problem {
		fixed := spray
		fixed.FixedStart = on(t, 3, 2, 8, 0)
		return clashing(sand, fixed)
	}(), 0, 0), "clash: sand is at work")
	both := []schedule.Activity{sand, spray}
	for i := range both {
		both[i].FixedStart = on(t, 3, 2, 8, 0)
	}
	wantBroken(t, "both fixed by somebody", broken(t, clashing(both...), 0, 0))
}

// The body of a piano is in one room at a time: its station is needed in the state of that room.
func TestAThingIsInOneStateAtATime(t *testing.T) {
	t.Parallel()
	in := func(name string, state int) schedule.Activity {
		return schedule.Activity{
			Name: name, Work: 4, Needs: []schedule.Need{{Quantity: 1, State: state}},
		}
	}
	body := func(activities ...schedule.Activity) *schedule.Problem {
		p := problem(t, activities...)
		p.Stations[0] = schedule.Station{Name: "body", Capacity: 2}
		return p
	}
	wantBroken(t, "the same room", broken(t, body(in("A", 1), in("B", 1)), 0, 0))
	wantBroken(t, "one room after the other", broken(t, body(in("A", 1), in("B", 2)), 0, 4))
	wantBroken(t, "back again", broken(t, body(in("A", 1), in("B", 2)), 4, 0))
	wantBroken(t, "two rooms at once", broken(t, body(in("A", 1), in("B", 2)), 0, 3),
		"state: B is at work while body is needed in the states 1 and 2 on 2026-03-02 07:45")
	fixed := []schedule.Activity{in("A", 1), in("B", 2)}
	fixed[0].FixedStart = on(t, 3, 2, 8, 0)
	wantBroken(t, "the first can't be moved", broken(t, body(fixed...), 0, 0), "state: B is at work")
	fixed[1].FixedStart = on(t, 3, 2, 8, 0)
	wantBroken(t, "neither can be moved", broken(t, body(fixed...), 0, 0))
}

// A piano takes its place on the floor from its first start to its last tail. One that is there
// already keeps its place and is never at fault.
func TestNoMorePianosAreOnTheFloorThanItHasPlaces(t *testing.T) {
	t.Parallel()
	work := func(name string) schedule.Activity {
		return schedule.Activity{Name: name, Work: 4, Tail: schedule.Hour}
	}
	floor := func(change func(a, b *schedule.Group)) *schedule.Problem {
		p := problem(t, work("A1"), work("A2"), work("B1"))
		p.Floor = 1
		p.Groups = []schedule.Group{
			{Name: "A", Activities: []int{0, 1}}, {Name: "B", Activities: []int{2}}, {Name: "empty"},
		}
		change(&p.Groups[0], &p.Groups[1])
		return p
	}
	none := func(_, _ *schedule.Group) {}
	wantBroken(t, "one after the other", broken(t, floor(none), 0, 4, 12))
	wantBroken(t, "before the last tail", broken(t, floor(none), 0, 4, 11),
		"floor: B1 is on the floor on 2026-03-02 09:45:00 +0000 UTC among 2 groups, with room for 1")
	wantBroken(t, "between the first piano's work", broken(t, floor(none), 0, 20, 8), "floor: B1 ")
	wantBroken(t, "the other first", broken(t, floor(none), 8, 12, 0))
	wantBroken(t, "the last that came is at fault", broken(t, floor(none), 4, 20, 0), "floor: B1 ")
	p := floor(none)
	p.Floor = 2
	wantBroken(t, "room for two", broken(t, p, 0, 4, 0))
	p.Floor = 0
	wantBroken(t, "a floor without end", broken(t, p, 0, 4, 0))

	aPresent := func(a, _ *schedule.Group) { a.Present = true }
	wantBroken(t, "one is there before its work starts", broken(t, floor(aPresent), 12, 20, 0),
		"floor: B1 is on the floor on 2026-03-02 07:00")
	wantBroken(t, "both are there", broken(t, floor(func(a, b *schedule.Group) {
		a.Present, b.Present = true, true
	}), 0, 4, 0))
	for name, begun := range map[string]func(*schedule.Activity){
		"one has a fixed start": func(x *schedule.Activity) { x.FixedStart = on(t, 3, 2, 11, 0) },
		"one is under way":      func(x *schedule.Activity) { x.UnderWay = true },
	} {
		a1 := work("A1")
		begun(&a1)
		p := problem(t, a1, work("A2"), work("B1"))
		p.Floor, p.Groups = 1, floor(none).Groups
		wantBroken(t, name, broken(t, p, 12, 20, 0), "floor: B1 ")
	}
}

// A maximum lag that is met to the minute is kept.
func TestALagIsKeptToTheMinute(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		lag   schedule.Lag
		start schedule.Ticks
		want  []string
	}{
		{"three hours by the clock, over lunch", schedule.ElapsedLag(3 * schedule.Hour), 16, nil},
		{"a tick more", schedule.ElapsedLag(3 * schedule.Hour), 17, []string{"link: B "}},
		{"eight ticks of work", schedule.WorkingLag(8), 16, nil},
		{"nine", schedule.WorkingLag(8), 17, []string{"link: B "}},
	} {
		n, err := schedule.NewNetwork(
			[]schedule.Activity{{Name: "A", Work: 4}, {Name: "B", Work: 4}},
			[]schedule.Link{{From: "A", To: "B", Lag: c.lag, AtMost: true}})
		if err != nil {
			t.Fatal(err)
		}
		p := problem(t, schedule.Activity{Name: "A", Work: 4})
		p.Network = n
		// A ends at 10:00, B starts at 13:00 or a quarter of an hour later.
		wantBroken(t, c.name, broken(t, p, 4, c.start), c.want...)
	}
}

// A unit of money a day for half a day is half a unit, and a half is rounded up. Where nothing
// costs anything, a plan costs the minutes to its finish.
func TestHalfAUnitOfMoneyIsRoundedUp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		tail   schedule.Minutes
		perDay int64
		want   int64
	}{
		{12 * schedule.Hour, 1, 1},
		{12*schedule.Hour - 1, 1, 0},
		{36 * schedule.Hour, 1, 2},
		{30 * schedule.Hour, 1, 1},
		{24 * schedule.Hour, 3, 3},
		{90, 0, 90},
	} {
		n, err := schedule.NewNetwork([]schedule.Activity{{Name: "cure", Tail: c.tail}}, nil)
		if err != nil {
			t.Fatal(err)
		}
		p := &schedule.Problem{
			Network: n, Axis: workingWeeks(t), DataDate: on(t, 3, 2, 8, 0), FinishCost: c.perDay,
		}
		start := schedule.InstantAfter(p.DataDate)
		plan := &schedule.Plan{
			Placements: []schedule.Placement{
				{Dates: schedule.Dates{Start: start, Finish: start, TailEnd: start.Add(c.tail)}},
			},
			DataDate: start, Finish: start.Add(c.tail), Cost: c.want,
			Proven: c.want == 0,
		}
		if found := verify.Plan(p, plan); len(found) > 0 {
			t.Errorf("%d minutes at %d a day: %v, want a cost of %d", c.tail, c.perDay, found, c.want)
		}
	}
}

func TestAWrongTickSaysTheRightOne(t *testing.T) {
	t.Parallel()
	p := problem(t, schedule.Activity{Name: "A", Work: 4})
	plan := byHand(t, p, 4)
	plan.Placements[0].FinishTick = 9
	found := verify.Plan(p, plan)
	if len(found) == 0 || found[0].Detail != "A: finish tick is 9, want 8" {
		t.Errorf("got %v", found)
	}
}
