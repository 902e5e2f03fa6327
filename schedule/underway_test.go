package schedule_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// Sanding was begun though the glue before it isn't dry by the plan: it goes on now, and the dearer
// work waits for the bench.
func TestWorkUnderWayGoesOnWhateverItsPredecessorsSay(t *testing.T) {
	t.Parallel()
	a := shop(t)
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n := network(t, []schedule.Activity{
		{Name: "glue", Work: 4, Tail: schedule.Day},
		{Name: "dearer", Work: 8, Needs: bench},
		{Name: "sand", Work: 8, Needs: bench, UnderWay: true, Order: 9},
		{Name: "varnish", Work: 4},
	}, schedule.Link{From: "glue", To: "sand"}, schedule.Link{From: "sand", To: "varnish"})
	p := &schedule.Problem{
		Network: n, Axis: a, DataDate: on(t, 3, 2, 8, 0),
		Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		Costs:    []schedule.Cost{{Activity: 1, PerDay: 1000}, {Activity: 3, PerDay: 1}},
	}
	for _, parallel := range []bool{false, true} {
		plan, err := planned(p, 50, parallel)
		if err != nil {
			t.Fatal(err)
		}
		q := &queued{Plan: plan, problem: *p, Stations: p.Stations}
		want := "glue Mon 02 Mar 08:00, data date\ndearer Mon 02 Mar 10:00, station bench with sand\n" +
			"sand Mon 02 Mar 08:00, data date\nvarnish Mon 02 Mar 10:00, link from sand"
		if got := story(n, a, q); got != want {
			t.Errorf("got\n%s\nwant\n%s", got, want)
		}
		if found := verify.Plan(p, plan); len(found) > 0 {
			t.Errorf("violations: %v", found)
		}
	}
}

// Nothing but facts and other work under way ever keeps work under way waiting: among these alone
// it couldn't start a tick earlier.
func TestNothingElseKeepsWorkUnderWayWaiting(t *testing.T) {
	t.Parallel()
	a := shop(t)
	seen, waited := 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, false)
		plan, err := planned(p, 20, rapid.Bool().Draw(rt, "parallel"))
		if err != nil {
			return
		}
		var activities []schedule.Activity
		var placements []schedule.Placement
		for i, at := range plan.Placements {
			if x := p.Network.Activity(i); x.UnderWay || !x.FixedStart.IsZero() {
				activities, placements = append(activities, x), append(placements, at)
			}
		}
		alone := *p
		alone.Network, alone.Groups, alone.Costs, alone.Floor = network(t, activities), nil, nil, 0
		for i, x := range activities {
			if !x.UnderWay || x.Work == 0 {
				continue
			}
			seen++
			if placements[i].Start > plan.DataDate {
				waited++
			}
			moved := &queued{
				Plan: &schedule.Plan{
					Placements: slices.Clone(placements), DataDate: plan.DataDate,
					Finish: plan.Finish,
				},
				problem: alone, Reservations: p.Reservations,
			}
			for s := schedule.Ticks(0); s < placements[i].StartTick; s++ {
				start, _ := a.StartOf(s)
				finish, _ := a.EndOf(s + x.Work - 1)
				moved.Placements[i].Dates = schedule.Dates{
					StartTick: s, FinishTick: s + x.Work, Start: start, Finish: finish,
					TailEnd: finish.Add(x.Tail),
				}
				if len(moved.broken()) == 0 {
					rt.Fatalf("%s is under way and starts on tick %d but could on %d", x.Name,
						placements[i].StartTick, s)
				}
			}
		}
	})
	if !testing.Short() && (seen == 0 || waited == 0) {
		t.Errorf("%d under way, %d of them waited: nothing to see", seen, waited)
	}
}
