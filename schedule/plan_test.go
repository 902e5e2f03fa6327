package schedule_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// drawShop returns a small shop with instruments on benches and a floor, each in one place at a
// time, some kept somewhere, people with shared skills, dust against open finish, work under way,
// closed stations, promises and capital tied up.
func drawShop(t *rapid.T, a *schedule.Axis, maximums bool) *schedule.Problem {
	p := &schedule.Problem{
		Axis:     a,
		DataDate: a.From().Add(schedule.Minutes(rapid.IntRange(0, 3000).Draw(t, "data date"))).UTC(),
	}
	p.Stations = []schedule.Station{
		{Name: "bench", Capacity: rapid.IntRange(1, 2).Draw(t, "benches")},
		{Name: "drying room", Capacity: 1},
		{Name: "dust", Capacity: 99},
		{Name: "open finish", Capacity: 99},
		{Name: "everybody", Capacity: rapid.IntRange(1, 3).Draw(t, "people")},
		{Name: "finishers", Capacity: 1},
	}
	p.Clashes = []schedule.Clash{{One: 2, Other: 3}}
	var activities []schedule.Activity
	var links []schedule.Link
	for g := range rapid.IntRange(1, 4).Draw(t, "instruments") {
		group := schedule.Group{
			Name:    fmt.Sprint("instrument ", g),
			Present: rapid.IntRange(0, 4).Draw(t, "present") == 0,
		}
		part := len(p.Stations)
		p.Stations = append(p.Stations, schedule.Station{Name: fmt.Sprint("body ", g), Capacity: 1},
			schedule.Station{Name: fmt.Sprint("place of ", g), Capacity: 99})
		for k := range rapid.IntRange(1, 5).Draw(t, "operations") {
			group.Activities = append(group.Activities, len(activities))
			activities = append(activities, drawOperation(t, a, fmt.Sprint(g, ".", k), part))
			activities[len(activities)-1].Order = g
			if k > 0 && rapid.IntRange(0, 3).Draw(t, "linked") > 0 {
				links = append(links,
					drawLinks(t, activities,
						group.Activities[rapid.IntRange(0, k-1).Draw(t, "after")], maximums)...)
			}
		}
		p.Groups = append(p.Groups, group)
		if last := len(activities) - 1; rapid.Bool().Draw(t, "costs") {
			due := a.From().Add(schedule.Minutes(rapid.IntRange(0, 30_000).Draw(t, "due"))).UTC()
			p.Costs = append(p.Costs, schedule.Cost{
				Activity: last, PerDay: rapid.Int64Range(0, 900).Draw(t, "a day"), Due: due,
				LatePerDay: rapid.Int64Range(0, 5000).Draw(t, "late"),
			})
		}
	}
	p.Floor = rapid.IntRange(0, 3).Draw(t, "floor")
	for range rapid.IntRange(0, 3).Draw(t, "reservations") {
		from := a.From().Add(schedule.Minutes(rapid.IntRange(-1000, 10_000).Draw(t, "from"))).UTC()
		p.Reservations = append(p.Reservations, schedule.Reservation{
			Name: "closed", Station: rapid.SampledFrom([]int{0, 1, 4, 5}).Draw(t, "reserved"),
			Quantity: rapid.IntRange(1, 2).Draw(t, "of it"),
			From:     from,
			To:       from.Add(time.Duration(rapid.IntRange(1, 5000).Draw(t, "for")) * time.Minute),
		})
	}
	for g := range p.Groups {
		if rapid.IntRange(0, 3).Draw(t, "kept") == 0 {
			from := a.From().Add(schedule.Minutes(rapid.IntRange(-1000, 10_000).Draw(t, "since"))).UTC()
			p.Reservations = append(p.Reservations, schedule.Reservation{
				Name: "kept", Station: 7 + 2*g, Quantity: 1,
				State: rapid.IntRange(1, 3).Draw(t, "kept in"),
				From:  from,
				To:    from.Add(time.Duration(rapid.IntRange(1, 5000).Draw(t, "so long")) * time.Minute),
			})
		}
	}
	var err error
	// a maximum lag shorter than the tail that it must span
	if p.Network, err = schedule.NewNetwork(activities, links); err != nil {
		links = slices.DeleteFunc(links, func(l schedule.Link) bool { return l.AtMost })
		if p.Network, err = schedule.NewNetwork(activities, links); err != nil {
			t.Fatal(err)
		}
	}
	return p
}

func drawOperation(t *rapid.T, a *schedule.Axis, name string, part int) schedule.Activity {
	hold := schedule.HoldToFinish
	x := schedule.Activity{
		Name: name, Work: schedule.Ticks(rapid.IntRange(0, 24).Draw(t, "work")),
		Tail:  schedule.Minutes(max(0, rapid.IntRange(-600, 2000).Draw(t, "tail"))),
		Needs: []schedule.Need{{Station: part, Quantity: 1, Hold: hold}},
	}
	if rapid.Bool().Draw(t, "at the bench") {
		x.Needs = append(x.Needs, schedule.Need{Station: 0, Quantity: 1, Hold: hold})
	} else if rapid.Bool().Draw(t, "dries") {
		x.Needs = append(x.Needs,
			schedule.Need{Station: 1, Quantity: 1, Hold: schedule.HoldThroughTail})
	}
	switch rapid.IntRange(0, 4).Draw(t, "air") {
	case 0:
		x.Needs = append(x.Needs,
			schedule.Need{Station: 2, Quantity: 1, Hold: schedule.HoldWorking})
	case 1:
		x.Needs = append(x.Needs,
			schedule.Need{Station: 3, Quantity: 1, Hold: schedule.HoldThroughTail})
	}
	if place := rapid.IntRange(0, 3).Draw(t, "place"); place > 0 {
		x.Needs = append(x.Needs, schedule.Need{
			Station: part + 1, Quantity: 1, State: place,
			Hold: rapid.SampledFrom([]schedule.Hold{
				schedule.HoldWorking, schedule.HoldToFinish, schedule.HoldThroughTail,
			}).Draw(t, "stays"),
		})
	}
	x.Needs = append(x.Needs, schedule.Need{Station: 4, Quantity: 1})
	if rapid.IntRange(0, 2).Draw(t, "finisher") == 0 {
		x.Needs = append(x.Needs, schedule.Need{Station: 5, Quantity: 1})
	}
	switch rapid.IntRange(0, 9).Draw(t, "window") {
	case 0:
		x.Release = a.From().Add(schedule.Minutes(rapid.IntRange(0, 10_000).Draw(t, "release"))).UTC()
	case 2:
		x.UnderWay = true
	case 1:
		x.FixedStart = a.From().Add(schedule.Minutes(rapid.IntRange(0, 4000).Draw(t, "fixed"))).UTC()
	}
	return x
}

func drawLinks(
	t *rapid.T, activities []schedule.Activity, from int, maximums bool,
) []schedule.Link {
	to := len(activities) - 1
	l := schedule.Link{From: activities[from].Name, To: activities[to].Name}
	if rapid.Bool().Draw(t, "with a lag") {
		l.Lag = schedule.ElapsedLag(schedule.Minutes(rapid.IntRange(0, 1500).Draw(t, "lag")))
	}
	list := []schedule.Link{l}
	if maximums && rapid.IntRange(0, 3).Draw(t, "at most") == 0 {
		l.AtMost = true
		l.Lag = schedule.ElapsedLag(schedule.Minutes(rapid.IntRange(1500, 9000).Draw(t, "maximum")))
		list = append(list, l)
	}
	return list
}

func TestEveryPlanOfEveryShopPassesTheVerifier(t *testing.T) {
	t.Parallel()
	a := shop(t)
	planned, refused, kinds := 0, map[string]int{}, map[schedule.DriverKind]int{}
	rapid.Check(t, func(rt *rapid.T) {
		maximums := rapid.Bool().Draw(rt, "maximums")
		p := drawShop(rt, a, maximums)
		o := schedule.Options{
			Schedules: 60, Seed: rapid.Uint64().Draw(rt, "seed"),
		}
		first, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
		if err != nil {
			refused[fmt.Sprintf("%T", err)]++
			return
		}
		plan, err := p.Plan(context.Background(), o)
		if err != nil {
			rt.Fatal(err)
		}
		planned++
		plans := []*schedule.Plan{first, plan}
		if parallel, err := schedule.ParallelPlan(p); err == nil {
			plans = append(plans, parallel)
		}
		for _, x := range plans {
			if found := verify.Plan(p, x); len(found) > 0 {
				rt.Fatalf("violations: %v", found)
			}
		}
		if plan.Cost > first.Cost || plan.LowerBound < first.LowerBound ||
			plan.Cost < plan.LowerBound || plan.Proven != (plan.Cost == plan.LowerBound) {
			rt.Fatalf("costs %d, at least %d, proven %v; the first plan %d, at least %d", plan.Cost,
				plan.LowerBound, plan.Proven, first.Cost, first.LowerBound)
		}
		if plan.Schedules > max(o.Schedules, first.Schedules) {
			rt.Fatalf("used %d schedules of %d", plan.Schedules, o.Schedules)
		}
		for i, at := range plan.Placements {
			kinds[at.Driver.Kind]++
			if at.Driver.Kind == schedule.DriverOrder && !maximums {
				rt.Fatalf("%s could start earlier than %d", p.Network.Activity(i).Name, at.Start)
			}
			checkChain(rt, p, plan, i)
		}
		o.Workers = 3
		if again, err := p.Plan(context.Background(), o); err != nil ||
			!slices.Equal(again.Placements, plan.Placements) ||
			*statistics(again) != *statistics(plan) {
			rt.Fatalf("3 workers make another plan than 1: %v", err)
		}
	})
	t.Logf("%d planned, refused: %v; starts bound by: %v", planned, refused, kinds)
	if !testing.Short() && planned == 0 {
		t.Error("nothing was planned")
	}
}

// statistics returns what a plan says of itself beside its dates.
func statistics(p *schedule.Plan) *[4]int64 {
	return &[4]int64{p.Cost, p.LowerBound, int64(p.Schedules), int64(p.Finish)}
}

// checkChain wants each activity of a chain to be what the next one waited for, back to something
// that waits for nothing.
func checkChain(t *rapid.T, p *schedule.Problem, plan *schedule.Plan, i int) {
	chain := plan.Chain(i)
	if chain[len(chain)-1] != i {
		t.Fatalf("the chain of %d ends with %d", i, chain[len(chain)-1])
	}
	if root := plan.Placements[chain[0]].Driver; root.Activity >= 0 &&
		!slices.Contains(chain, root.Activity) {
		t.Fatalf("the chain of %d ends halfway, at %d, which waits for %d", i, chain[0],
			root.Activity)
	}
	for k := 1; k < len(chain); k++ {
		before, b := plan.Placements[chain[k-1]], plan.Placements[chain[k]].Driver
		if b.Activity != chain[k-1] {
			t.Fatalf("%d waits for %d in the chain, its bound says %d", chain[k], chain[k-1],
				b.Activity)
		}
		if b.Kind == schedule.DriverStation && before.Start >= plan.Placements[chain[k]].Start {
			t.Fatalf("%s waits for %s, which starts no earlier", p.Network.Activity(chain[k]).Name,
				p.Network.Activity(chain[k-1]).Name)
		}
	}
}

// Moved in its start alone, no activity of a plan keeps all rules; moved whole by a tick to the
// left, none does either, but where it came later in the order of admission to the floor.
func TestAPlanMutatedInOneStartIsCaught(t *testing.T) {
	t.Parallel()
	a := shop(t)
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, false)
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 20})
		if err != nil {
			return
		}
		i := rapid.IntRange(0, p.Network.Len()-1).Draw(rt, "activity")
		at, x := plan.Placements[i], p.Network.Activity(i)
		by := rapid.SampledFrom([]schedule.Instant{-900, -15, -1, 1, 15, 900}).Draw(rt, "by")
		plan.Placements[i].Start += by
		if len(verify.Plan(p, plan)) == 0 {
			rt.Fatalf("%s starts %d instead of %d, and nobody minds", x.Name,
				plan.Placements[i].Start, at.Start)
		}
		if x.Work == 0 || at.StartTick == 0 || p.Floor > 0 {
			return
		}
		start, _ := a.StartOf(at.StartTick - 1)
		finish, _ := a.EndOf(at.StartTick + x.Work - 2)
		plan.Placements[i].Dates = schedule.Dates{
			StartTick: at.StartTick - 1, FinishTick: at.FinishTick - 1, Start: start,
			Finish: finish, TailEnd: finish.Add(x.Tail),
		}
		if len(verify.Plan(p, plan)) == 0 {
			rt.Fatalf("%s could start a tick earlier", x.Name)
		}
	})
}

// With a place less than there are instruments, the one without waits until another has gone: no
// more are ever there than fit, and nobody waits for ever. The decoder that lets every task onto
// the floor when it comes to it deadlocks or over-opens here.
func TestOneInstrumentMoreThanPlacesOnTheFloorWaits(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 100_000)
	rapid.Check(t, func(rt *rapid.T) {
		places := rapid.IntRange(1, 4).Draw(rt, "places")
		p := &schedule.Problem{
			Axis: a, DataDate: epoch, Floor: places,
			Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		}
		var activities []schedule.Activity
		var links []schedule.Link
		for g := range places + 1 {
			group := schedule.Group{Name: fmt.Sprint(g)}
			for k := range 3 {
				group.Activities = append(group.Activities, len(activities))
				activities = append(activities, schedule.Activity{
					Name:  fmt.Sprint(g, ".", k),
					Work:  schedule.Ticks(rapid.IntRange(1, 9).Draw(rt, "work")),
					Order: rapid.IntRange(0, 20).Draw(rt, "order"),
				})
				if rapid.Bool().Draw(rt, "bench") {
					activities[len(activities)-1].Needs = []schedule.Need{
						{Quantity: 1, Hold: schedule.HoldToFinish},
					}
				}
				if k > 0 {
					links = append(links,
						schedule.Link{
							From: activities[len(activities)-2].Name,
							To:   activities[len(activities)-1].Name,
						})
				}
			}
			p.Groups = append(p.Groups, group)
			p.Costs = append(p.Costs,
				schedule.Cost{
					Activity: len(activities) - 1, PerDay: rapid.Int64Range(1, 9).Draw(rt, "a day"),
				})
		}
		p.Network = network(t, activities, links...)
		plan, err := planned(p, 40, rapid.Bool().Draw(rt, "parallel"))
		if err != nil {
			rt.Fatal(err)
		}
		if found := verify.Plan(p, plan); len(found) > 0 {
			rt.Fatalf("violations: %v", found)
		}
		arrived, gone := schedule.Instant(0), plan.Finish
		for g := range p.Groups {
			arrived, gone = max(arrived, plan.Placements[3*g].Start),
				min(gone, plan.Placements[3*g+2].Finish)
		}
		if arrived < gone {
			rt.Fatalf("the last comes on %d, before the first goes on %d", arrived, gone)
		}
	})
}

// Three stand on a floor for two; the fourth comes when two of them have gone.
func TestInstrumentsBeyondTheFloorTodayStay(t *testing.T) {
	t.Parallel()
	n := network(t,
		[]schedule.Activity{
			{Name: "A", Work: 4}, {Name: "B", Work: 8}, {Name: "C", Work: 12}, {Name: "D", Work: 1},
		})
	p := &schedule.Problem{
		Network: n, Axis: openAxis(t, 1000), DataDate: epoch, Floor: 2,
		Groups: []schedule.Group{
			{Name: "a", Activities: []int{0}, Present: true},
			{Name: "b", Activities: []int{1}, Present: true},
			{Name: "c", Activities: []int{2}, Present: true},
			{Name: "d", Activities: []int{3}},
		},
	}
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 50})
	if err != nil {
		t.Fatal(err)
	}
	if got := plan.Placements[3]; got.StartTick != 8 || got.Driver.Kind != schedule.DriverFloor ||
		got.Driver.Activity != 1 {
		t.Errorf("got %+v, want a start when B has gone", got)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
	plan.Placements[3].Dates = schedule.Dates{
		StartTick: 7, FinishTick: 8, Start: 105, Finish: 120, TailEnd: 120,
	}
	if found := verify.Plan(p, plan); len(found) != 1 || found[0].Kind != verify.Floor ||
		!strings.HasPrefix(found[0].Detail, "D ") {
		t.Errorf("a place too soon: %v", found)
	}
}

// An instrument on the floor waits for one that can't get there: an error, no endless wait.
func TestInstrumentsThatWaitForEachOtherAreRefused(t *testing.T) {
	t.Parallel()
	n := network(t,
		[]schedule.Activity{{Name: "A1", Work: 1}, {Name: "A2", Work: 1}, {Name: "B", Work: 1}},
		schedule.Link{From: "A1", To: "B"}, schedule.Link{From: "B", To: "A2"})
	p := &schedule.Problem{
		Network: n, Axis: openAxis(t, 1000), DataDate: epoch, Floor: 1,
		Groups: []schedule.Group{
			{Name: "a", Activities: []int{0, 1}}, {Name: "b", Activities: []int{2}},
		},
	}
	_, err := p.Plan(context.Background(), schedule.Options{Schedules: 50})
	want := "B of b waits for a place on the floor, whose 1 are taken by work that waits for it"
	if err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

// Sanding waits until the varnish of the other piano is dry, though nobody is in the room.
func TestDustWaitsForOpenFinish(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{
			Name: "varnish", Work: 8, Tail: 20 * schedule.Hour,
			Needs: []schedule.Need{{Station: 1, Quantity: 1, Hold: schedule.HoldThroughTail}},
		},
		{Name: "sand", Work: 8, Needs: []schedule.Need{{Station: 0, Quantity: 1}}, Order: 1},
	})
	p := &schedule.Problem{
		Network: n, Axis: a, DataDate: a.From().UTC(),
		Clashes: []schedule.Clash{{One: 0, Other: 1}},
		Stations: []schedule.Station{
			{Name: "dust", Capacity: 9}, {Name: "open finish", Capacity: 9},
		},
	}
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := plan.Placements[1]; clock(a, got.Start) != "Tue 03 Mar 08:00" ||
		got.Driver.Kind != schedule.DriverClash || got.Driver.Activity != 0 {
		t.Errorf("sanding starts %s because of %+v", clock(a, got.Start), got.Driver)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
	start, _ := a.StartOf(31)
	finish, _ := a.EndOf(38)
	plan.Placements[1].Dates = schedule.Dates{
		StartTick: 31, FinishTick: 39, Start: start, Finish: finish, TailEnd: finish,
	}
	found := verify.Plan(p, plan)
	if len(found) == 0 || found[0].Kind != verify.Clash {
		t.Errorf("sanding on the wet varnish: %v", found)
	}
}

// A promise that costs more than the other's capital goes first, whatever the order given.
func TestTheCostlierPromiseGoesFirst(t *testing.T) {
	t.Parallel()
	bench := []schedule.Need{{Quantity: 1, Hold: schedule.HoldToFinish}}
	n := network(t,
		[]schedule.Activity{
			{Name: "ours", Work: 40, Needs: bench},
			{Name: "promised", Work: 40, Needs: bench, Order: 1},
		})
	p := &schedule.Problem{
		Network: n, Axis: openAxis(t, 1000), DataDate: epoch,
		Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		Costs: []schedule.Cost{
			{Activity: 0, PerDay: 96}, // a unit a quarter hour
			{Activity: 1, Due: schedule.Instant(40 * 15).UTC(), LatePerDay: 960},
		},
	}
	plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 30})
	if err != nil {
		t.Fatal(err)
	}
	if plan.Placements[0].StartTick != 40 || plan.Placements[1].StartTick != 0 || plan.Cost != 80 {
		t.Errorf("costs %d: %+v", plan.Cost, plan.Placements)
	}
}

// No plan at all is cheaper than the bound, and none that was found is cheaper than the cheapest.
func TestNoPlanIsCheaperThanTheBound(t *testing.T) {
	t.Parallel()
	a := tinyAxis(t)
	best, tight, shared := 0, 0, 0
	rapid.Check(t, func(rt *rapid.T) {
		activities, links := drawTiny(rt)
		if rapid.Bool().Draw(rt, "no links") {
			links = nil
		}
		benches := rapid.IntRange(1, 2).Draw(rt, "benches")
		for i := range activities {
			activities[i].FixedStart = time.Time{}
			if activities[i].Work > 0 && rapid.Bool().Draw(rt, "bench") {
				activities[i].Needs = []schedule.Need{
					{
						Quantity: rapid.IntRange(1, benches).Draw(rt, "quantity"),
						Hold:     schedule.Hold(rapid.IntRange(0, 2).Draw(rt, "hold")),
					},
				}
			}
		}
		n, err := schedule.NewNetwork(activities, links)
		if err != nil {
			return
		}
		p := &schedule.Problem{
			Network: n, Axis: a, DataDate: a.From().UTC(),
			Stations: []schedule.Station{{Name: "bench", Capacity: benches}},
		}
		for i := range activities {
			if rapid.Bool().Draw(rt, "costs") {
				p.Costs = append(p.Costs, schedule.Cost{
					Activity: i, PerDay: rapid.Int64Range(0, 1000).Draw(rt, "a day"),
					Due:        a.From().Add(schedule.Minutes(rapid.IntRange(0, 300).Draw(rt, "due"))).UTC(),
					LatePerDay: rapid.Int64Range(0, 1000).Draw(rt, "late"),
				})
			}
		}
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 200})
		if err != nil {
			return
		}
		cheapest := plan.Cost
		each(p, plan.DataDate, func(cost int64) { cheapest = min(cheapest, cost) })
		if plan.LowerBound > cheapest {
			rt.Fatalf("the bound says %d, a plan costs %d", plan.LowerBound, cheapest)
		}
		if plan.Proven && plan.Cost > cheapest {
			rt.Fatalf("%d is said to be proven, a plan costs %d", plan.Cost, cheapest)
		}
		if plan.Cost == cheapest {
			best++
		}
		if plan.LowerBound == cheapest {
			tight++
		}
		for i := range p.Costs {
			// so that no rounding hides anything
			p.Costs[i].PerDay, p.Costs[i].LatePerDay = p.Costs[i].PerDay*1000,
				p.Costs[i].LatePerDay*1000
		}
		again, err := p.Plan(context.Background(), schedule.Options{Schedules: 2000})
		if err != nil || again.LowerBound > again.Cost {
			rt.Fatalf("the bound says %d, the plan costs %d, %v", again.LowerBound, again.Cost, err)
		}
		least := again.Cost
		each(p, plan.DataDate, func(cost int64) { least = min(least, cost) })
		if again.LowerBound > least {
			rt.Fatalf("the bound says %d, a plan costs %d", again.LowerBound, least)
		}
		if len(p.Costs) > 1 && again.LowerBound > 0 {
			shared++
		}
	})
	t.Logf("%d plans were the cheapest there is, %d bounds were their cost; %d had costs to share",
		best, tight, shared)
	if !testing.Short() && shared == 0 {
		t.Error("no two ends ever cost something")
	}
}

// On one bench, without links, the bound is what the best order costs (Smith 1956; from memory):
// the plan is proven, however much else there is to choose.
func TestTheBestOrderOnOneBenchIsProven(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		p := &schedule.Problem{
			Axis: openAxis(t, 1000), DataDate: epoch,
			Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		}
		var activities []schedule.Activity
		type job struct{ rate, work int64 }
		var jobs []job
		for i := range rapid.IntRange(2, 6).Draw(rt, "activities") {
			j := job{
				rapid.Int64Range(1, 40).Draw(rt, "rate"), rapid.Int64Range(1, 30).Draw(rt, "work"),
			}
			jobs = append(jobs, j)
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: schedule.Ticks(j.work),
				Needs: []schedule.Need{{Quantity: 1, Hold: schedule.Hold(i % 3)}},
			})
			// a thousand a quarter hour
			p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: 96 * 1000 * j.rate})
		}
		p.Network = network(t, activities)
		slices.SortFunc(jobs, func(a, b job) int { return int(b.rate*a.work - a.rate*b.work) })
		best, end := int64(0), int64(0)
		for _, j := range jobs {
			end += j.work
			best += 1000 * j.rate * end
		}
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 200})
		if err != nil {
			rt.Fatal(err)
		}
		if plan.LowerBound != best || plan.Cost < best || plan.Proven != (plan.Cost == best) {
			rt.Fatalf("the plan costs %d, the bound is %d, proven %v; the best order costs %d",
				plan.Cost, plan.LowerBound, plan.Proven, best)
		}
	})
}

// A place with room for a thousand takes next to no time for each; the bound comes to an end all
// the same.
func TestABoundIsFoundForAPlaceWithRoomForAThousand(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 200_000)
	rapid.Check(t, func(rt *rapid.T) {
		p := &schedule.Problem{
			Axis: a, DataDate: epoch,
			Stations: []schedule.Station{
				{Name: "air", Capacity: rapid.IntRange(900, 1000).Draw(rt, "capacity")},
			},
		}
		var activities []schedule.Activity
		for i := range 12 {
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: schedule.Ticks(rapid.IntRange(1, 50).Draw(rt, "work")),
				Tail: schedule.Minutes(rapid.IntRange(0, 5000).Draw(rt, "tail")),
				Release: epoch.Add(
					time.Duration(rapid.IntRange(0, 2_900_000).Draw(rt, "release")) * time.Minute,
				),
				Needs: []schedule.Need{{
					Quantity: rapid.IntRange(1, 3).Draw(rt, "quantity"), Hold: schedule.Hold(i % 3),
				}},
			})
			p.Costs = append(p.Costs,
				schedule.Cost{
					Activity: i, PerDay: rapid.Int64Range(1, 1_000_000).Draw(rt, "a day"),
				})
		}
		p.Network = network(t, activities)
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 6000})
		if err != nil || plan.LowerBound > plan.Cost {
			rt.Fatalf("%+v, %v", plan, err)
		}
	})
}

func TestABoundNeverFallsByWorkingOnItForLonger(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		p := &schedule.Problem{
			Axis: openAxis(t, 1000), DataDate: epoch,
			Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
		}
		var activities []schedule.Activity
		for i := range rapid.IntRange(2, 5).Draw(rt, "activities") {
			activities = append(activities, schedule.Activity{
				Name: fmt.Sprint(i), Work: schedule.Ticks(rapid.IntRange(1, 8).Draw(rt, "work")),
				Needs:   []schedule.Need{{Quantity: 1}},
				Release: epoch.Add(time.Duration(rapid.IntRange(0, 6).Draw(rt, "release")) * time.Hour),
			})
			p.Costs = append(p.Costs,
				schedule.Cost{
					Activity: i, PerDay: 96_000 * rapid.Int64Range(1, 9).Draw(rt, "rate"),
				})
			if rapid.Bool().Draw(rt, "promised") {
				p.Costs[i].Due = epoch.Add(time.Duration(rapid.IntRange(1, 9).Draw(rt, "due")) * time.Hour)
				p.Costs[i].LatePerDay = 96_000 * rapid.Int64Range(1, 9).Draw(rt, "late rate")
			}
		}
		p.Network = network(t, activities)
		last := int64(0)
		for _, schedules := range []int{100, 400, 1600, 6000} {
			plan, err := p.Plan(context.Background(), schedule.Options{Schedules: schedules})
			if err != nil {
				rt.Fatal(err)
			}
			if plan.LowerBound < last {
				rt.Fatalf("%d schedules give a bound of %d, fewer gave %d", schedules,
					plan.LowerBound, last)
			}
			last = plan.LowerBound
		}
	})
}

// each calls yield with the cost of every plan that keeps all rules.
func each(p *schedule.Problem, dataDate schedule.Instant, yield func(cost int64)) {
	plan := &schedule.Plan{
		Placements: make([]schedule.Placement, p.Network.Len()), DataDate: dataDate,
	}
	choices := make([][]schedule.Placement, p.Network.Len())
	for i := range choices {
		choices[i] = placements(p.Axis, p.Network.Activity(i))
	}
	var choose func(i int)
	choose = func(i int) {
		if i == len(choices) {
			if cost, ok := costOf(p, plan); ok {
				yield(cost)
			}
			return
		}
		for _, at := range choices[i] {
			plan.Placements[i] = at
			choose(i + 1)
		}
	}
	choose(0)
}

// costOf returns what dates cost; false where they break a rule.
func costOf(p *schedule.Problem, plan *schedule.Plan) (int64, bool) {
	plan.Finish = plan.DataDate
	for _, at := range plan.Placements {
		plan.Finish = max(plan.Finish, at.TailEnd)
	}
	sum, rates := int64(0), int64(0)
	for _, c := range p.Costs {
		end := plan.Placements[c.Activity].TailEnd
		sum += c.PerDay*int64(end-plan.DataDate) + c.LatePerDay*max(0,
			int64(end-schedule.InstantBefore(c.Due)))
		rates += c.PerDay + c.LatePerDay
	}
	if rates == 0 {
		sum = 1440 * int64(plan.Finish-plan.DataDate)
	}
	plan.Cost = (sum + 720) / 1440
	return plan.Cost, len(verify.Plan(p, plan)) == 0
}

// Other names, another order of stations and instruments: the same plan.
func TestRelabellingChangesNothing(t *testing.T) {
	t.Parallel()
	a := shop(t)
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, false)
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 40})
		if err != nil {
			return
		}
		q, turned := *p, len(p.Stations)-1
		activities, links := make([]schedule.Activity, p.Network.Len()),
			make([]schedule.Link, p.Network.Links())
		for i := range activities {
			activities[i] = p.Network.Activity(i)
			activities[i].Name = "x" + activities[i].Name
			for k := range activities[i].Needs {
				activities[i].Needs[k].Station = turned - activities[i].Needs[k].Station
			}
		}
		for k := range links {
			links[k] = p.Network.Link(k)
			links[k].From, links[k].To = "x"+links[k].From, "x"+links[k].To
		}
		q.Network = network(t, activities, links...)
		q.Stations = slices.Clone(p.Stations)
		slices.Reverse(q.Stations)
		q.Reservations = slices.Clone(p.Reservations)
		for k := range q.Reservations {
			q.Reservations[k].Station = turned - q.Reservations[k].Station
		}
		q.Clashes = []schedule.Clash{{One: turned - 2, Other: turned - 3}}
		again, err := q.Plan(context.Background(), schedule.Options{Schedules: 40})
		if err != nil {
			rt.Fatal(err)
		}
		for i := range plan.Placements {
			if plan.Placements[i].Dates != again.Placements[i].Dates {
				rt.Fatalf("%s moves from %+v to %+v", p.Network.Activity(i).Name,
					plan.Placements[i].Dates, again.Placements[i].Dates)
			}
		}
	})
}

// What is held by the tick is kept by the tick, or in steps where numbers or axes are too large for
// that; the plan is the same. A huge reservation that is over before the shop's axis begins makes
// the numbers large.
func TestPlansAreTheSameByTheTickAndInSteps(t *testing.T) {
	t.Parallel()
	a := shop(t)
	before := a.From().UTC()
	rapid.Check(t, func(rt *rapid.T) {
		p := drawShop(rt, a, rapid.Bool().Draw(rt, "maximums"))
		ticked, err := p.Plan(context.Background(), schedule.Options{Schedules: 40})
		stepped := *p
		stepped.Reservations = slices.Clone(p.Reservations)
		for s, station := range p.Stations {
			if strings.HasPrefix(station.Name, "place of ") {
				continue // in steps anyway
			}
			stepped.Reservations = append(stepped.Reservations, schedule.Reservation{
				Name: "long ago", Station: s, Quantity: 32_767, From: before.AddDate(-1, 0, 0),
				To: before,
			})
		}
		again, other := stepped.Plan(context.Background(), schedule.Options{Schedules: 40})
		if (err == nil) != (other == nil) || err != nil && err.Error() != other.Error() {
			rt.Fatalf("%v by the tick, %v in steps", err, other)
		}
		if err == nil &&
			(!slices.Equal(ticked.Placements, again.Placements) ||
				*statistics(ticked) != *statistics(again)) {
			rt.Fatalf("%+v by the tick, %+v in steps", ticked, again)
		}
	})
}

func TestABudgetOfTimeGivesTheBestPlanSoFar(t *testing.T) {
	t.Parallel()
	p := instruments(t, 4, 10)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	plan, err := p.Plan(ctx, schedule.Options{Schedules: 1_000_000})
	if err != nil || plan.Schedules != 1 {
		t.Fatalf("%d schedules, %v", plan.Schedules, err)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		t.Errorf("violations: %v", found)
	}
}

// A deadline in the middle of the search ends it: what was found so far is a plan, no dearer than
// the first, and says what was spent on it.
func TestADeadlineEndsTheSearchWithWhatItHas(t *testing.T) {
	t.Parallel()
	p := instruments(t, 8, 20)
	first, err := p.Plan(context.Background(), schedule.Options{Schedules: 1})
	if err != nil {
		t.Fatal(err)
	}
	const budget = 100_000_000 // hours
	for _, workers := range []int{1, 3} {
		ctx, cancel := context.WithTimeout(context.Background(), 200*time.Millisecond)
		plan, err := p.Plan(ctx, schedule.Options{Schedules: budget, Workers: workers})
		cancel()
		if err != nil || plan.Schedules >= budget || plan.Schedules < 1 || plan.Cost > first.Cost {
			t.Fatalf("%d schedules, a cost of %d against %d, %v", plan.Schedules, plan.Cost,
				first.Cost, err)
		}
		if found := verify.Plan(p, plan); len(found) > 0 {
			t.Errorf("violations: %v", found)
		}
	}
}

func TestAPassAllocatesNothing(t *testing.T) {
	p := instruments(t, 10, 20)
	pass, err := schedule.Pass(p)
	if err != nil {
		t.Fatal(err)
	}
	if err := pass(); err != nil {
		t.Fatal(err)
	}
	if got := testing.AllocsPerRun(10, func() {
		if err := pass(); err != nil {
			t.Fatal(err)
		}
	}); got > 0 {
		t.Errorf("%v allocations in a pass", got)
	}
}

func TestImpossibleProblemsAreRefusedByName(t *testing.T) {
	t.Parallel()
	n := network(t, []schedule.Activity{{Name: "A", Work: 4}})
	sound := schedule.Problem{
		Network: n, Axis: openAxis(t, 1000), DataDate: epoch,
		Stations: []schedule.Station{{Name: "bench", Capacity: 1}},
	}
	for _, c := range []struct {
		spoil func(p *schedule.Problem)
		want  string
	}{
		{func(p *schedule.Problem) { p.Network = nil }, "problem: network and axis: must be given"},
		{
			func(p *schedule.Problem) { p.Clashes = []schedule.Clash{{One: 0, Other: 1}} },
			"clash 0: stations: must be two different ones of the problem",
		},
		{
			func(p *schedule.Problem) {
				p.Network = network(t,
					[]schedule.Activity{
						{
							Name: "A", Work: 4,
							Needs: []schedule.Need{
								{Station: 0, Quantity: 1}, {Station: 1, Quantity: 1},
							},
						},
					})
				p.Stations = []schedule.Station{
					{Name: "dust", Capacity: 9}, {Name: "open finish", Capacity: 9},
				}
				p.Clashes = []schedule.Clash{{One: 1, Other: 0}}
			},
			"A: needs: must not include both open finish and dust, which exclude each other",
		},
		{func(p *schedule.Problem) { p.Floor = -1 }, "floor: places: must not be negative"},
		{
			func(p *schedule.Problem) {
				p.Groups = []schedule.Group{
					{Name: "g", Activities: []int{0}}, {Name: "h", Activities: []int{0}},
				}
			},
			"group h: activities: must each be in the network and in one group, not 0",
		},
		{
			func(p *schedule.Problem) { p.FinishCost = -1 },
			"finish: cost: must be from 0 to 68719476736 a day",
		},
		{
			func(p *schedule.Problem) { p.Costs = []schedule.Cost{{Activity: 1}} },
			"cost 0: activity: must be in the network, not 1",
		},
		{
			func(p *schedule.Problem) { p.Costs = []schedule.Cost{{PerDay: -1}} },
			"A: cost: must be from 0 to 68719476736 a day",
		},
		{
			func(p *schedule.Problem) {
				p.Costs = []schedule.Cost{{PerDay: 1 << 36}, {LatePerDay: 1}}
			},
			"A: cost: must not bring the sum of all costs above 68719476736 a day",
		},
		{func(p *schedule.Problem) {
			p.Costs = []schedule.Cost{{Due: time.Date(10_000, 1, 1, 0, 0, 0, 0, time.UTC)}}
		}, "A: due: must be within the years 1 to 9999"},
	} {
		p := sound
		c.spoil(&p)
		if _, err := p.Plan(context.Background(), schedule.Options{}); err == nil ||
			err.Error() != c.want {
			t.Errorf("got %v, want %s", err, c.want)
		}
	}
}

func TestKindsHaveNames(t *testing.T) {
	t.Parallel()
	got := fmt.Sprint(schedule.DriverDataDate, schedule.DriverRelease, schedule.DriverFixed,
		schedule.DriverLink, schedule.DriverStation, schedule.DriverClash, schedule.DriverFloor,
		schedule.DriverOrder)
	if got != "data date release fixed start link station clash floor order" {
		t.Error(got)
	}
	got = fmt.Sprint(schedule.Date{2026, time.March, 2}, schedule.Shift{From: 495, To: 1440})
	if got != "2026-03-02 08:15-24:00" {
		t.Error(got)
	}
}
