package schedule_test

import (
	"fmt"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
)

// tinyAxis works 3, 4 and 4 quarter hours with closed stretches of 5 and 7 between.
func tinyAxis(tb testing.TB) *schedule.Axis {
	tb.Helper()
	var week schedule.Week
	week[time.Thursday] = []schedule.Shift{
		{From: 60, To: 105}, {From: 180, To: 240}, {From: 345, To: 405},
	}
	a, err := schedule.NewAxis(epoch.Add(time.Hour), epoch.Add(7*time.Hour),
		calendar(tb, "tiny", time.UTC, week))
	if err != nil {
		tb.Fatal(err)
	}
	return a
}

// drawTiny makes up to three activities, one of them perhaps a milestone, with every kind of link,
// end and lag. All lengths are whole quarter hours, so that trying every quarter hour tries
// everything.
func drawTiny(t *rapid.T) ([]schedule.Activity, []schedule.Link) {
	activities := make([]schedule.Activity, rapid.IntRange(1, 3).Draw(t, "activities"))
	for i := range activities {
		a := &activities[i]
		a.Name = fmt.Sprint("a", i)
		a.Work = schedule.Ticks(rapid.IntRange(1, 4).Draw(t, "work"))
		a.Tail = 15 * schedule.Minutes(max(0, rapid.IntRange(-4, 6).Draw(t, "tail")))
		a.UnderWay = rapid.IntRange(0, 5).Draw(t, "under way") == 0
		if rapid.IntRange(0, 3).Draw(t, "released") == 0 {
			ticks := time.Duration(rapid.IntRange(0, 24).Draw(t, "release"))
			a.Release = epoch.Add(ticks * 15 * time.Minute)
		}
	}
	if rapid.Bool().Draw(t, "with a milestone") {
		activities[rapid.IntRange(0, len(activities)-1).Draw(t, "milestone")].Work = 0
	}
	var links []schedule.Link
	for range rapid.IntRange(0, 4).Draw(t, "links") {
		from := rapid.IntRange(0, len(activities)-1).Draw(t, "from")
		to := rapid.IntRange(from, len(activities)-1).Draw(t, "to")
		l := schedule.Link{Kind: schedule.LinkKind(rapid.IntRange(0, 3).Draw(t, "kind"))}
		l.AtMost = from == to || rapid.IntRange(0, 3).Draw(t, "maximum") == 0
		length := rapid.IntRange(-3, 8).Draw(t, "lag")
		switch rapid.IntRange(0, 2).Draw(t, "lag kind") {
		case 0:
			l.Lag = schedule.WorkingLag(schedule.Ticks(length))
		case 1:
			l.Lag = schedule.ElapsedLag(15 * schedule.Minutes(length))
		default:
			if l.AtMost {
				l.Lag = schedule.ElapsedLag(15 * schedule.Minutes(length))
			}
		}
		if l.AtMost && rapid.Bool().Draw(t, "turned") {
			from, to = to, from
		}
		l.From, l.To = activities[from].Name, activities[to].Name
		links = append(links, l)
	}
	return activities, links
}

// placements returns all the dates that one activity could have on the axis.
func placements(a *schedule.Axis, activity schedule.Activity) []schedule.Placement {
	var all []schedule.Placement
	add := func(start, finish schedule.Instant, at schedule.Ticks) {
		d := schedule.Dates{
			StartTick: at, FinishTick: at + activity.Work, Start: start, Finish: finish,
			TailEnd: finish.Add(activity.Tail),
		}
		all = append(all, schedule.Placement{Dates: d})
	}
	if activity.Work == 0 {
		for i := a.From(); i <= a.To(); i += 15 {
			at, ok := a.FirstFrom(i)
			if !ok {
				at = a.Len()
			}
			add(i, i, at)
		}
		return all
	}
	for at := schedule.Ticks(0); at+activity.Work <= a.Len(); at++ {
		start, _ := a.StartOf(at)
		finish, _ := a.EndOf(at + activity.Work - 1)
		add(start, finish, at)
	}
	return all
}

// oneByOne makes a network of each link alone, to check plans with where the whole is refused;
// false when one link is refused by itself.
func oneByOne(activities []schedule.Activity, links []schedule.Link) ([]*schedule.Network, bool) {
	var alone []*schedule.Network
	for _, l := range links {
		n, err := schedule.NewNetwork(activities, []schedule.Link{l})
		if err != nil {
			return nil, false
		}
		alone = append(alone, n)
	}
	return alone, len(alone) > 0
}

// feasible calls yield with every plan in which the verifier finds nothing wrong with any of the
// networks and that ends by finish. The networks have the same activities.
func feasible(
	networks []*schedule.Network, a *schedule.Axis, finish schedule.Instant,
	yield func([]schedule.Placement),
) {
	choices := make([][]schedule.Placement, networks[0].Len())
	for i := range choices {
		choices[i] = placements(a, networks[0].Activity(i))
	}
	start, _ := a.StartOf(0)
	plan := &queued{
		Plan: &schedule.Plan{
			Placements: make([]schedule.Placement, len(choices)), DataDate: start, Finish: finish,
		},
	}
	var choose func(i int)
	choose = func(i int) {
		if i == len(choices) {
			for _, n := range networks {
				plan.problem = schedule.Problem{Network: n, Axis: a}
				if len(plan.broken()) > 0 {
					return
				}
			}
			yield(plan.Placements)
			return
		}
		for _, p := range choices[i] {
			plan.Placements[i] = p
			choose(i + 1)
		}
	}
	choose(0)
}

// The early dates are the least that any plan has, the late dates the greatest of any plan that
// ends by the finish, and the free float is the greatest slip that leaves all others where they
// are: found by trying every plan, on a calendar with closed hours.
func TestDatesAndFloatsAreTheBestOfAllPlans(t *testing.T) {
	t.Parallel()
	a := tinyAxis(t)
	refused := 0
	check := func(rt *rapid.T) {
		activities, links := drawTiny(rt)
		n, err := schedule.NewNetwork(activities, links)
		if err != nil {
			alone, sound := oneByOne(activities, links)
			if !sound {
				return // a single link contradicts itself
			}
			feasible(alone, a, a.To(), func(p []schedule.Placement) {
				rt.Fatalf("refused with %v, but %+v keeps every link", err, p)
			})
			refused++
			return
		}
		all := []*schedule.Network{n}
		r, err := schedule.CriticalPath(n, a, a.From().UTC())
		count := 0
		early := make([]schedule.Instant, n.Len())
		feasible(all, a, a.To(), func(p []schedule.Placement) {
			for i := range p {
				if count == 0 || p[i].Start < early[i] {
					early[i] = p[i].Start
				}
			}
			count++
		})
		if count == 0 || err != nil {
			if count > 0 || err == nil {
				rt.Fatalf("%d plans exist, and the critical path says %v", count, err)
			}
			refused++
			return
		}
		late, free := make([]schedule.Placement, n.Len()), make([]schedule.Placement, n.Len())
		feasible(all, a, r.Finish, func(p []schedule.Placement) {
			for i := range p {
				if p[i].Start > late[i].Start {
					late[i] = p[i]
				}
				others := true
				for k := range p {
					others = others && (k == i || p[k].Start == early[k])
				}
				if others && p[i].Start > free[i].Start {
					free[i] = p[i]
				}
			}
		})
		for i, at := range r.Activities {
			if at.Early.Start != early[i] || at.Late != late[i].Dates {
				rt.Fatalf("%s: early %d, late %+v; want %d, %+v", activities[i].Name,
					at.Early.Start, at.Late, early[i], late[i].Dates)
			}
			total, slip := ticksBetween(a, at.Early.Start, late[i].Start),
				ticksBetween(a, at.Early.Start, free[i].Start)
			if activities[i].Work > 0 {
				total, slip = late[i].StartTick-at.Early.StartTick,
					free[i].StartTick-at.Early.StartTick
			}
			if at.TotalFloat != total || at.FreeFloat != slip {
				rt.Fatalf("%s: floats %d and %d, want %d and %d", activities[i].Name, at.TotalFloat,
					at.FreeFloat, total, slip)
			}
		}
	}
	for range 5 { // the networks are tiny and the odd ones rare
		rapid.Check(t, check)
	}
	t.Logf("%d networks had no plan, and an error", refused)
}

// ticksBetween counts the ticks wholly between two instants.
func ticksBetween(a *schedule.Axis, from, to schedule.Instant) schedule.Ticks {
	count := schedule.Ticks(0)
	for at := range a.Len() {
		start, _ := a.StartOf(at)
		end, _ := a.EndOf(at)
		if start >= from && end <= to {
			count++
		}
	}
	return count
}
