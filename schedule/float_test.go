package schedule_test

import (
	"cmp"
	"context"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// movedTo returns the dates of an activity from a tick on.
func movedTo(a *schedule.Axis, x schedule.Activity, s schedule.Ticks) schedule.Dates {
	start, _ := a.StartOf(s)
	finish, _ := a.EndOf(s + x.Work - 1)
	return schedule.Dates{
		StartTick: s, FinishTick: s + x.Work, Start: start, Finish: finish,
		TailEnd: finish.Add(x.Tail),
	}
}

// Moved by its slack, or by any part of it, an activity keeps every rule and costs nothing; by a
// tick more, it breaks one, but for the floor, whose order of admission isn't looked at, ends that
// cost something, which stay, and links to what is fixed.
func TestSlackIsRoomToStartLaterAndNoMore(t *testing.T) {
	t.Parallel()
	a := shop(t)
	slipped, stopped := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, rapid.Bool().Draw(rt, "maximums"))
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 10})
		if err != nil {
			return
		}
		part := rapid.Float64Range(0, 1).Draw(rt, "part")
		stays := map[int]bool{} // for a reason that the verifier doesn't look at
		for _, c := range p.Costs {
			stays[c.Activity] = true
		}
		for k := range p.Network.Links() {
			from, _ := p.Network.Index(p.Network.Link(k).From)
			to, _ := p.Network.Index(p.Network.Link(k).To)
			stays[from] = stays[from] || !p.Network.Activity(to).FixedStart.IsZero()
		}
		for i, at := range plan.Placements {
			x := p.Network.Activity(i)
			if at.FreeFloat < 0 {
				rt.Fatalf("%s has a slack of %d", x.Name, at.FreeFloat)
			}
			if x.Work == 0 || !x.FixedStart.IsZero() {
				continue
			}
			for _, by := range []schedule.Ticks{
				at.FreeFloat, schedule.Ticks(float64(at.FreeFloat) * part),
			} {
				plan.Placements[i].Dates = movedTo(a, x, at.StartTick+by)
				if found := verify.Plan(p, plan); len(found) > 0 {
					rt.Fatalf("%s, %d ticks later: %v", x.Name, by, found)
				}
				slipped += int(by)
			}
			plan.Placements[i].Dates = movedTo(a, x, at.StartTick+at.FreeFloat+1)
			if plan.Placements[i].TailEnd <= plan.Finish && p.Floor == 0 && !stays[i] {
				if len(verify.Plan(p, plan)) == 0 {
					rt.Fatalf("%s could slip further than %d", x.Name, at.FreeFloat)
				}
				stopped++
			}
			plan.Placements[i] = at
		}
	})
	if !testing.Short() && (slipped == 0 || stopped == 0) {
		t.Errorf("%d ticks slipped, %d were stopped: nothing to see", slipped, stopped)
	}
}

// All put off together, everything keeps every rule, and the plan costs and ends the same. With
// those before it in that order put off, each can slip by any part of its total float.
func TestPutOffAsFarAsItGoesAPlanIsAPlan(t *testing.T) {
	t.Parallel()
	a := shop(t)
	more := 0
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, rapid.Bool().Draw(rt, "maximums"))
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 10})
		if err != nil {
			return
		}
		part := rapid.Float64Range(0, 1).Draw(rt, "part")
		order := make([]int, len(plan.Placements))
		for i := range order {
			order[i] = i
		}
		slices.SortFunc(order, func(i, j int) int {
			one, other := plan.Placements[i], plan.Placements[j]
			return cmp.Or(cmp.Compare(other.TailEnd, one.TailEnd),
				cmp.Compare(other.Start, one.Start), cmp.Compare(j, i))
		})
		late := *plan
		late.Placements = slices.Clone(plan.Placements)
		for _, i := range order {
			at, x := plan.Placements[i], p.Network.Activity(i)
			if at.TotalFloat < at.FreeFloat || at.Late.Start < at.Start {
				rt.Fatalf("%s: total float %d, free float %d, put off from %d to %d", x.Name,
					at.TotalFloat, at.FreeFloat, at.Start, at.Late.Start)
			}
			if x.Work > 0 {
				slip := at.Late.StartTick - at.StartTick
				if at.TotalFloat != max(slip, at.FreeFloat) {
					rt.Fatalf("%s: total float %d, put off by %d, free float %d", x.Name,
						at.TotalFloat, slip, at.FreeFloat)
				}
				if slip > 0 {
					late.Placements[i].Dates = movedTo(a, x,
						at.StartTick+schedule.Ticks(float64(slip)*part))
				}
				if found := verify.Plan(p, &late); len(found) > 0 {
					rt.Fatalf("%s put off by a part of %d: %v", x.Name, slip, found)
				}
				if at.TotalFloat > at.FreeFloat {
					more++
				}
			}
			late.Placements[i].Dates = at.Late
		}
		if found := verify.Plan(p, &late); len(found) > 0 {
			rt.Fatalf("violations: %v", found)
		}
	})
	if !testing.Short() && more == 0 {
		t.Error("no total float was more than the free one")
	}
}

// The second of two at one bench can wait an hour for the end; the first can wait with it, but not
// alone.
func TestTheFirstInALineSlipsOnlyWithTheSecond(t *testing.T) {
	t.Parallel()
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n := network(t,
		[]schedule.Activity{
			{Name: "first", Work: 4, Needs: bench},
			{Name: "second", Work: 4, Needs: bench},
			{Name: "long", Work: 12},
		})
	p := &schedule.Problem{
		Network: n, Axis: openAxis(t, 1000), DataDate: epoch,
		Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
	}
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range [][2]schedule.Ticks{{0, 4}, {4, 4}, {0, 0}} {
		if at := plan.Placements[i]; at.FreeFloat != want[0] || at.TotalFloat != want[1] {
			t.Errorf("%s: free float %d, total float %d, want %v", n.Activity(i).Name, at.FreeFloat,
				at.TotalFloat, want)
		}
	}
}

// What is fixed has no float, and the first of a row slips with what follows it: hand-drawn, in
// ticks of a shop that never closes.
func TestFloatsOfARowBesideALongerOne(t *testing.T) {
	t.Parallel()
	p := &schedule.Problem{
		Network: network(t, []schedule.Activity{
			{Name: "strip", Work: 4},
			{Name: "polish", Work: 4},
			{Name: "plank", Work: 20},
			{Name: "agreed visit", Work: 2, FixedStart: epoch.Add(45 * time.Minute)},
		}, schedule.Link{From: "strip", To: "polish"}),
		Axis: openAxis(t, 500), DataDate: epoch,
	}
	plan := plannedOf(t, p)
	for i, want := range []struct{ free, total, late schedule.Ticks }{
		{0, 12, 12}, {12, 12, 16}, {0, 0, 0}, {0, 0, 3},
	} {
		at := plan.Placements[i]
		if at.FreeFloat != want.free || at.TotalFloat != want.total || at.Late.StartTick != want.late {
			t.Errorf("%s: free float %d, total %d, at latest %d; want %+v", p.Network.Activity(i).Name,
				at.FreeFloat, at.TotalFloat, at.Late.StartTick, want)
		}
	}
}

// What cures after a moment of its own, or is due before it can be, counts from the end of its
// tail: by hand, beside five hours of other work.
func TestMilestonesWithTailsSlipByWhatIsLeftAfterTheirTails(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 500)
	n := network(t, []schedule.Activity{
		{Name: "poured", Tail: 60},
		{Name: "trimmed", Work: 2},
		{Name: "plank", Work: 20},
		{Name: "set", Tail: 45},
		{Name: "packed", Work: 8},
		{Name: "delivered", Deadline: epoch.Add(time.Hour)},
	}, schedule.Link{From: "poured", To: "trimmed"}, schedule.Link{From: "packed", To: "delivered"})
	r := criticalPath(t, n, a, epoch)
	for i, want := range []struct {
		late  schedule.Instant // minutes
		float schedule.Ticks
	}{{210, 14}, {270, 14}, {0, 0}, {255, 17}, {0, 0}, {60, -4}} {
		if at := r.Activities[i]; at.Late.Start != want.late || at.TotalFloat != want.float {
			t.Errorf("%s: at latest after %d minutes, float %d; want %+v", n.Activity(i).Name,
				at.Late.Start, at.TotalFloat, want)
		}
	}
}
