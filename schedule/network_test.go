package schedule_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"bentside/schedule"
)

func TestNetworkRefusesFaultyValuesTogether(t *testing.T) {
	t.Parallel()
	_, err := schedule.NewNetwork([]schedule.Activity{
		{Name: "strip", Work: 4},
		{Name: "strip"},
		{Name: "glue", Work: -1, Tail: -1},
		{Work: 1},
		{Name: "far", Release: time.Unix(1<<55, 0)},
		{
			Name: "spray",
			Needs: []schedule.Need{
				{Station: 0, Quantity: 1},
				{Station: 0, Quantity: 1},
				{Station: -1, Quantity: 0, Hold: 9},
			},
		},
	}, []schedule.Link{
		{From: "strip", To: "nowhere"},
		{From: "strip", To: "glue", AtMost: true},
		{From: "strip", To: "glue", Kind: 9, Lag: schedule.ElapsedLag(1 << 60)},
	})
	want := []string{
		`two activities are named "strip"`,
		"glue: work: must be from 0 to the longest axis",
		"glue: tail: must be from 0 to the longest axis",
		": name: must not be empty",
		"far: date: must be within the years 1 to 9999",
		"spray: needs: must name each station once",
		"spray: needs: must have a station, a quantity of at least 1 and a known hold",
		`link 0 names "nowhere", which isn't an activity of the network`,
		"link 1, strip to glue: lag: must be given for a maximum",
		"link 2, strip to glue: kind: must be one of the four kinds",
		"link 2, strip to glue: lag: must not be longer than the longest axis",
	}
	if err == nil || err.Error() != strings.Join(want, "\n") {
		t.Errorf("got\n%v\nwant\n%s", err, strings.Join(want, "\n"))
	}
	var duplicate *schedule.DuplicateError
	var unknown *schedule.UnknownActivityError
	if !errors.As(err, &duplicate) || !errors.As(err, &unknown) || unknown.Link != 0 ||
		unknown.Name != "nowhere" {
		t.Errorf("the joined error doesn't hold its parts: %v", err)
	}
}

func TestCircleIsNamedInTheDirectionOfItsLinks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ links, want string }{
		{"A>B B>C C>A", "A B C A"},
		{"S>A A>B B>C C>A C>T", "A B C A"},
		{"S>A A>A", "A A"},
		{"T>S S>A A>B B>T C>A", "A B T S A"},
	} {
		var links []schedule.Link
		for l := range strings.FieldsSeq(c.links) {
			from, to, _ := strings.Cut(l, ">")
			links = append(links, schedule.Link{From: from, To: to})
		}
		activities := []schedule.Activity{
			{Name: "A", Work: 1},
			{Name: "B", Work: 1},
			{Name: "C", Work: 1},
			{Name: "S", Work: 1},
			{Name: "T", Work: 1},
		}
		_, err := schedule.NewNetwork(activities, links)
		var circle *schedule.CycleError
		if !errors.As(err, &circle) || !sameRing(strings.Join(circle.Path, " "), c.want) {
			t.Errorf("%s: got %v, want a circle %s", c.links, err, c.want)
		}
	}
}

// sameRing reports whether two closed walks are the same but for where they begin.
func sameRing(got, want string) bool {
	g, w := strings.Fields(got), strings.Fields(want)
	if len(g) != len(w) || g[0] != g[len(g)-1] {
		return false
	}
	g, w = g[1:], w[1:]
	for shift := range w {
		if fmt.Sprint(append(append([]string{}, w[shift:]...), w[:shift]...)) == fmt.Sprint(g) {
			return true
		}
	}
	return false
}

func TestWindowsThatNoCalendarCanKeepAreRefused(t *testing.T) {
	t.Parallel()
	day := func(d int) time.Time { return time.Date(2026, 3, d, 8, 0, 0, 0, time.UTC) }
	act := func(name string, work schedule.Ticks, tail schedule.Minutes) schedule.Activity {
		return schedule.Activity{Name: name, Work: work, Tail: tail}
	}
	released := func(a schedule.Activity, at time.Time) schedule.Activity {
		a.Release = at
		return a
	}
	due := func(a schedule.Activity, at time.Time) schedule.Activity { a.Deadline = at; return a }
	for _, c := range []struct {
		name       string
		activities []schedule.Activity
		links      []schedule.Link
		want       string // path and earliest end; empty when the network is sound
	}{
		{
			"release after its own deadline",
			[]schedule.Activity{released(due(act("A", 0, 0), day(1)), day(2))},
			nil, "A 2026-03-02T08:00:00Z",
		},
		{
			"release and deadline as one are kept by a milestone",
			[]schedule.Activity{released(due(act("A", 0, 0), day(2)), day(2))},
			nil, "",
		},
		{
			"along a path with a tail and a lag",
			[]schedule.Activity{
				released(act("A", 4, schedule.Day), day(2)), act("B", 4, 0),
				due(act("C", 4, 60), day(4)),
			},
			[]schedule.Link{
				{From: "A", To: "B"}, {From: "B", To: "C", Lag: schedule.ElapsedLag(schedule.Day)},
			},
			"A B C 2026-03-04T12:00:00Z",
		},
		{
			"a working lead may reach back over any weekend",
			[]schedule.Activity{released(act("A", 4, 0), day(2)), due(act("B", 4, 0), day(1))},
			[]schedule.Link{{From: "A", To: "B", Lag: schedule.WorkingLag(-8)}},
			"",
		},
		{
			"an elapsed lead reaches back its length",
			[]schedule.Activity{released(act("A", 4, 0), day(3)), due(act("B", 4, 0), day(2))},
			[]schedule.Link{{From: "A", To: "B", Lag: schedule.ElapsedLag(-60)}},
			"A B 2026-03-03T09:00:00Z",
		},
		{
			"a fixed start is a fact and no contradiction",
			[]schedule.Activity{
				released(act("A", 4, 0), day(3)),
				{Name: "B", Work: 4, FixedStart: day(1), Deadline: day(1)},
			},
			[]schedule.Link{{From: "A", To: "B"}},
			"",
		},
		{
			"through a maximum lag, backward",
			[]schedule.Activity{due(act("A", 4, 0), day(2)), released(act("B", 4, 0), day(9))},
			[]schedule.Link{
				{From: "A", To: "B"},
				{
					From: "A", To: "B", Kind: schedule.StartToStart,
					Lag: schedule.ElapsedLag(schedule.Day), AtMost: true,
				},
			},
			"B A 2026-03-08T09:00:00Z",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := schedule.NewNetwork(c.activities, c.links)
			got := ""
			var window *schedule.WindowError
			if errors.As(err, &window) {
				got = strings.Join(window.Path, " ") + " " + window.Earliest.Format(time.RFC3339)
			} else if err != nil {
				got = err.Error()
			}
			if got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestMaximumLagsThatNoCalendarCanKeepAreRefused(t *testing.T) {
	t.Parallel()
	atMost := func(from, to string, kind schedule.LinkKind, lag schedule.Lag) schedule.Link {
		return schedule.Link{From: from, To: to, Kind: kind, Lag: lag, AtMost: true}
	}
	hours, ticks := func(h schedule.Minutes) schedule.Lag {
		return schedule.ElapsedLag(h * schedule.Hour)
	}, schedule.WorkingLag
	chain := []schedule.Link{{From: "A", To: "B"}, {From: "B", To: "C"}}
	chained := func(l schedule.Link) []schedule.Link { return append(chain[:2:2], l) }
	for _, c := range []struct {
		name  string
		links []schedule.Link
		want  string // ring, empty when the network is sound
	}{
		{
			"working, one tick short", chained(atMost("A", "C", schedule.StartToStart, ticks(11))),
			"A B C A",
		},
		{"working, just enough", chained(atMost("A", "C", schedule.StartToStart, ticks(12))), ""},
		{
			"elapsed, shorter than work and tail",
			chained(atMost("A", "C", schedule.StartToStart, schedule.ElapsedLag(26*60+59))),
			"A B C A",
		},
		{"elapsed, just enough", chained(atMost("A", "C", schedule.StartToStart, hours(27))), ""},
		{
			"from finish to start", chained(atMost("B", "C", schedule.FinishToStart, hours(23))),
			"B C B",
		},
		{
			"working lag against an elapsed tail fits over a night",
			chained(atMost("B", "C", schedule.FinishToStart, ticks(0))), "",
		},
		{"C done half an hour before B has dried", []schedule.Link{
			{From: "B", To: "C", Lag: hours(0)},
			atMost("B", "C", schedule.FinishToFinish, schedule.ElapsedLag(23*60+30)),
		}, ""},
		{
			"its own work within a time",
			chained(atMost("B", "B", schedule.StartToFinish, hours(1))), "B B",
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			activities := []schedule.Activity{
				{Name: "A", Work: 4},
				{Name: "B", Work: 8, Tail: schedule.Day},
				{Name: "C", Work: 4},
			}
			_, err := schedule.NewNetwork(activities, c.links)
			var maximum *schedule.MaxLagError
			switch {
			case c.want == "" && err != nil:
				t.Errorf("got %v, want a sound network", err)
			case c.want != "" &&
				(!errors.As(err, &maximum) || !sameRing(strings.Join(maximum.Path, " "), c.want)):
				t.Errorf("got %v, want the ring %s", err, c.want)
			}
		})
	}
}

func TestNetworkKeepsNothingOfItsArguments(t *testing.T) {
	t.Parallel()
	activities := []schedule.Activity{
		{Name: "A", Work: 4, Needs: []schedule.Need{{Quantity: 1}}}, {Name: "B", Work: 4},
	}
	links := []schedule.Link{{From: "A", To: "B"}}
	n := network(t, activities, links...)
	activities[0].Needs[0].Quantity, activities[1].Work, links[0].From = 9, 9, "B"
	n.Activity(0).Needs[0].Quantity = 7
	if n.Activity(0).Needs[0].Quantity != 1 || n.Activity(1).Work != 4 || n.Link(0).From != "A" ||
		n.Links() != 1 || n.Len() != 2 {
		t.Error("the network changed with its arguments or its answers")
	}
	if i, ok := n.Index("B"); i != 1 || !ok {
		t.Errorf("B is at %d, %v", i, ok)
	}
	if _, ok := n.Index("C"); ok {
		t.Error("C is known")
	}
}

func TestSessionsShareTheWorkAndKeepTheirGap(t *testing.T) {
	t.Parallel()
	whole := schedule.Activity{
		Name: "body shellac", Work: 11, Tail: schedule.Day, Order: 3,
		Needs:   []schedule.Need{{Station: 1, Quantity: 1}},
		Release: on(t, 3, 3, 8, 0), Deadline: on(t, 4, 1, 17, 0),
	}
	sessions, links, err := schedule.Sessions(whole, 3, 2*schedule.Day)
	if err != nil {
		t.Fatal(err)
	}
	want := []schedule.Activity{
		{Name: "body shellac 1/3", Work: 4, Order: 3, Needs: whole.Needs, Release: whole.Release},
		{Name: "body shellac 2/3", Work: 4, Order: 3, Needs: whole.Needs},
		{
			Name: "body shellac 3/3", Work: 3, Order: 3, Needs: whole.Needs, Tail: whole.Tail,
			Deadline: whole.Deadline,
		},
	}
	if fmt.Sprint(sessions) != fmt.Sprint(want) {
		t.Errorf("got  %v\nwant %v", sessions, want)
	}
	a := shop(t)
	r := criticalPath(t, network(t, sessions, links...), a, on(t, 3, 2, 8, 0))
	var starts []string
	for i := range sessions {
		starts = append(starts, clock(a, r.Activities[i].Early.Start))
	}
	if got, want := strings.Join(starts,
		", "), "Tue 03 Mar 08:00, Thu 05 Mar 09:00, Mon 09 Mar 08:00"; got != want {
		t.Errorf("sessions start %s, want %s", got, want)
	}
	if one, none, err := schedule.Sessions(whole, 1, schedule.Day); err != nil || len(none) != 0 ||
		fmt.Sprint(one) != fmt.Sprint([]schedule.Activity{whole}) {
		t.Errorf("one session: %v %v %v", one, none, err)
	}
	for _, n := range []int{-1, 0, 12, 1 << 40} {
		var value *schedule.ValueError
		if _, _, err := schedule.Sessions(whole, n, schedule.Day); !errors.As(err, &value) {
			t.Errorf("%d sessions: got %v, want a ValueError", n, err)
		}
	}
	if _, _, err := schedule.Sessions(whole, 2, -1); err == nil {
		t.Error("a negative gap was taken")
	}
}
