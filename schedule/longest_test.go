package schedule_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/graph/path"
	"gonum.org/v1/gonum/graph/simple"
	"pgregory.net/rapid"

	"bentside/schedule"
)

// drawNetwork makes activities and links that lead from lower to higher positions of a shuffled
// order, all in working time. With maximum lags, links of both directions close circles.
func drawNetwork(t *rapid.T, maximums bool) ([]schedule.Activity, []schedule.Link) {
	count := rapid.IntRange(1, 12).Draw(t, "activities")
	order := rapid.Permutation(positions(count)).Draw(t, "order")
	activities := make([]schedule.Activity, count)
	for i := range activities {
		activities[i] = schedule.Activity{
			Name: fmt.Sprint("a", i), Work: schedule.Ticks(rapid.IntRange(0, 9).Draw(t, "work")),
		}
	}
	var links []schedule.Link
	if count == 1 {
		return activities, nil
	}
	for range rapid.IntRange(0, 3*count).Draw(t, "links") {
		from := rapid.IntRange(0, count-2).Draw(t, "from")
		to := rapid.IntRange(from+1, count-1).Draw(t, "to")
		l := schedule.Link{
			From: activities[order[from]].Name, To: activities[order[to]].Name,
			Kind: schedule.LinkKind(rapid.IntRange(0, 3).Draw(t, "kind")),
		}
		if rapid.Bool().Draw(t, "lagged") {
			l.Lag = schedule.WorkingLag(schedule.Ticks(rapid.IntRange(-4, 6).Draw(t, "lag")))
		}
		if maximums && rapid.IntRange(0, 2).Draw(t, "maximum") == 0 {
			l.AtMost, l.Lag = true,
				schedule.WorkingLag(schedule.Ticks(rapid.IntRange(-2, 20).Draw(t, "at most")))
			if rapid.Bool().Draw(t, "turned") {
				l.From, l.To = l.To, l.From
			}
		}
		links = append(links, l)
	}
	return activities, links
}

func positions(count int) []int {
	p := make([]int, count)
	for i := range p {
		p[i] = i
	}
	return p
}

// graph states the network as least distances from start to start, negated, with a source before
// everything and, for late dates, all arrows turned: the longest path is then gonum's shortest.
func graph(
	activities []schedule.Activity, links []schedule.Link, lags []schedule.Ticks, turned bool,
	floor func(int) schedule.Ticks,
) *simple.WeightedDirectedGraph {
	g := simple.NewWeightedDirectedGraph(0, math.Inf(1))
	index := map[string]int{}
	set := func(from, to int, length schedule.Ticks) {
		if turned {
			from, to = to, from
		}
		f, t := int64(from), int64(to)
		if from == to {
			return
		}
		if old, ok := g.Weight(f, t); ok && old <= float64(-length) && g.HasEdgeFromTo(f, t) {
			return
		}
		g.SetWeightedEdge(simple.WeightedEdge{
			F: simple.Node(f), T: simple.Node(t), W: float64(-length),
		})
	}
	source := len(activities)
	for i, a := range activities {
		index[a.Name] = i
		g.SetWeightedEdge(simple.WeightedEdge{
			F: simple.Node(source), T: simple.Node(i), W: float64(-floor(i)),
		})
	}
	for k, l := range links {
		from, to := index[l.From], index[l.To]
		length := lags[k]
		if l.Kind == schedule.FinishToStart || l.Kind == schedule.FinishToFinish {
			length += activities[from].Work
		}
		if l.Kind == schedule.FinishToFinish || l.Kind == schedule.StartToFinish {
			length -= activities[to].Work
		}
		if l.AtMost {
			from, to, length = to, from, -length
		}
		set(from, to, length)
	}
	return g
}

// lagsOf reads the lags back, which the package keeps to itself.
func lagsOf(links []schedule.Link) []schedule.Ticks {
	lags := make([]schedule.Ticks, len(links))
	for i, l := range links {
		for k := schedule.Ticks(-10); k <= 30; k++ {
			if l.Lag == schedule.WorkingLag(k) {
				lags[i] = k
			}
		}
	}
	return lags
}

func TestDatesAreGonumsLongestPaths(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 2000)
	refused := 0
	rapid.Check(t, func(rt *rapid.T) {
		activities, links := drawNetwork(rt, true)
		lags := lagsOf(links)
		forward := graph(activities, links, lags, false, func(int) schedule.Ticks { return 0 })
		early, feasible := path.BellmanFordFrom(simple.Node(len(activities)), forward)
		n, err := schedule.NewNetwork(activities, links)
		if !feasible {
			var maximum *schedule.MaxLagError
			if !errors.As(err, &maximum) {
				rt.Fatalf("gonum finds a circle of positive length; got %v", err)
			}
			refused++
			return
		}
		if err != nil {
			rt.Fatalf("gonum finds no circle of positive length; got %v", err)
		}
		r := criticalPath(t, n, a, epoch)
		finish := schedule.Ticks(0)
		for i := range activities {
			want := schedule.Ticks(-early.WeightTo(int64(i)))
			if got := r.Activities[i].Early.StartTick; got != want {
				rt.Fatalf("%s starts on %d, want %d", activities[i].Name, got, want)
			}
			finish = max(finish, want+activities[i].Work)
		}
		backward := graph(activities, links, lags, true, func(i int) schedule.Ticks {
			return activities[i].Work - finish
		})
		late, _ := path.BellmanFordFrom(simple.Node(len(activities)), backward)
		for i := range activities {
			want := schedule.Ticks(late.WeightTo(int64(i)))
			if got := r.Activities[i].Late.StartTick; got != want {
				rt.Fatalf("%s starts on %d at the latest, want %d", activities[i].Name, got, want)
			}
		}
	})
	t.Logf("%d networks were refused by both", refused)
}

func TestFloatsAreOrderedAndThePathIsTight(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 2000)
	rapid.Check(t, func(rt *rapid.T) {
		activities, links := drawNetwork(rt, false)
		n := network(t, activities, links...)
		r := criticalPath(t, n, a, epoch)
		for i, at := range r.Activities {
			if at.FreeFloat < 0 || at.TotalFloat < at.FreeFloat {
				rt.Fatalf("%s: total float %d, free float %d", activities[i].Name, at.TotalFloat,
					at.FreeFloat)
			}
		}
		for k, i := range r.Path {
			at := r.Activities[i]
			if at.TotalFloat != 0 {
				rt.Fatalf("%s is on the critical path with a float of %d", activities[i].Name,
					at.TotalFloat)
			}
			if first := at.Driver.Kind == schedule.DriverDataDate; first != (k == 0) {
				rt.Fatalf("activity %d of the path is bound by the %v", k, at.Driver.Kind)
			}
			if k > 0 {
				l := n.Link(at.Driver.Link)
				if l.To != activities[i].Name || l.From != activities[r.Path[k-1]].Name ||
					at.Driver.Activity != r.Path[k-1] {
					rt.Fatalf("%s is bound by %+v, which isn't the step of the path before it",
						activities[i].Name, l)
				}
			}
		}
	})
}

// A checklist of schedule quality tests exactly this: a delay put on a critical activity must reach
// the finish whole (the DCMA's critical path test, number 12 in
// data/worked_examples/schedule_health.md). It holds for finish-to-start networks without closed
// hours.
func TestDelayOfACriticalActivityReachesTheFinishWhole(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 5000)
	rapid.Check(t, func(rt *rapid.T) {
		activities, links := drawNetwork(rt, false)
		for i := range links {
			links[i].Kind = schedule.FinishToStart
		}
		before := criticalPath(t, network(t, activities, links...), a, epoch)
		delay := schedule.Ticks(rapid.IntRange(1, 600).Draw(rt, "delay"))
		hit := rapid.SampledFrom(before.Path).Draw(rt, "delayed")
		activities[hit].Work += delay
		after := criticalPath(t, network(t, activities, links...), a, epoch)
		if got, want := after.Finish-before.Finish, schedule.Instant(delay.Minutes()); got != want {
			rt.Fatalf("the finish moved %d minutes, want %d", got, want)
		}
	})
}

func TestRelabellingChangesNoDate(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 2000)
	rapid.Check(t, func(rt *rapid.T) {
		activities, links := drawNetwork(rt, true)
		n, err := schedule.NewNetwork(activities, links)
		if err != nil {
			return
		}
		before := criticalPath(t, n, a, epoch)
		order := rapid.Permutation(positions(len(activities))).Draw(rt, "new order")
		moved := make([]schedule.Activity, len(activities))
		for to, from := range order {
			moved[to] = activities[from]
			moved[to].Name += "'"
		}
		turned := make([]schedule.Link, len(links))
		for i, l := range links {
			l.From, l.To = l.From+"'", l.To+"'"
			turned[len(links)-1-i] = l
		}
		after := criticalPath(t, network(t, moved, turned...), a, epoch)
		for to, from := range order {
			g, w := after.Activities[to], before.Activities[from]
			if g.Early != w.Early || g.Late != w.Late || g.TotalFloat != w.TotalFloat ||
				g.FreeFloat != w.FreeFloat {
				rt.Fatalf("%s: got %+v, want %+v", activities[from].Name, g, w)
			}
		}
		if after.Finish != before.Finish {
			rt.Fatalf("finish %d, want %d", after.Finish, before.Finish)
		}
	})
}
