package plan_test

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/schedule"
)

// stay is when something is somewhere: a body, dust or open finish.
type stay struct {
	where, why string
	from, to   time.Time
}

func (s stay) meets(other stay) bool { return s.from.Before(other.to) && other.from.Before(s.to) }

// roomOf returns the room of a station by definition.
func roomOf(stations []domain.Station, station string) string {
	for _, s := range stations {
		if s.Name == station && s.Room != "" {
			return s.Room
		}
	}
	return station
}

// settles reports whether work stays where it was done until its tail is over.
func settles(op *catalogue.Operation) bool {
	return op.Needs == "dust_free" || op.Needs == "humidity_stable"
}

// bodyStays returns where the body of an instrument is, by the trade's definition.
func bodyStays(c *catalogue.Catalogue, where plan.Shop, steps []plan.Step) []stay {
	var list []stay
	for _, s := range steps {
		op := c.Operation(s.Operation)
		if op.Station == "" || op.Subassembly != "body" && op.Subassembly != "whole" &&
			!slices.Contains(op.Marks, "in_body") {
			continue
		}
		x := stay{
			where: roomOf(where.Stations, op.Station), why: string(op.Code), from: s.Start,
			to: s.Finish,
		}
		if settles(op) {
			x.to = s.Released
		}
		list = append(list, x)
	}
	return list
}

// twoPlaces returns two stays of one body in different rooms at once.
func twoPlaces(list []stay) string {
	for i, x := range list {
		for _, y := range list[:i] {
			if x.where != y.where && x.meets(y) {
				return fmt.Sprintf("%s at the %s and %s at the %s", x.why, x.where, y.why, y.where)
			}
		}
	}
	return ""
}

func TestAPianoIsInOneRoomAtATime(t *testing.T) {
	t.Parallel()
	c, j, _, at := worn(t)
	s := j.Work()
	where := shop(t)
	queued := func(where plan.Shop) plan.Timeline {
		t.Helper()
		d, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		return d.Queued
	}
	for _, stations := range [][]domain.Station{nil, {
		{Name: "quiet room", Count: 2}, {Name: "showroom", Count: 6}, {Name: "polishing room", Count: 2},
	}} {
		where.Stations = stations
		line := queued(where)
		if found := twoPlaces(bodyStays(c, where, line.Steps)); found != "" {
			t.Errorf("the piano is in two places: %s", found)
		}
		rest, voiced := begins(line, "QC-02"), begins(line, "VO-01")
		if rest == nil || voiced == nil {
			t.Fatalf("nothing is voiced, or rests: %+v", line.Steps)
		}
		if rest.Start.Before(voiced.Finish) && voiced.Start.Before(rest.Released) {
			t.Errorf("voiced in the quiet room from %v while it rests in the showroom from %v",
				voiced.Start, rest.Start)
		}
	}
}

func TestInOneRoomAPianoIsWorkedOnWhileItRests(t *testing.T) {
	t.Parallel()
	c, s := chain("A B", "A B")
	for i, station := range []string{"showroom", "quiet room"} {
		op := &c.Operations[i]
		op.Station, op.Subassembly = station, "body"
	}
	c.Operations[0].Needs, c.Operations[0].Tail.Likely = "humidity_stable", domaintest.Dec("100")
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	for _, x := range []struct {
		rooms [2]string
		apart bool
	}{
		{[2]string{"", ""}, true},
		{[2]string{"hall", "hall"}, false},
		{[2]string{"hall", "attic"}, true},
		{[2]string{"quiet room", ""}, false}, // a station without a room is the room of its name
	} {
		where := shop(t, domain.Station{Name: "showroom", Count: 1, Room: x.rooms[0]},
			domain.Station{Name: "quiet room", Count: 1, Room: x.rooms[1]})
		d, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		rest, other := begins(d.Queued, "A"), begins(d.Queued, "B")
		apart := !other.Start.Before(rest.Released) || !rest.Start.Before(other.Finish)
		if apart != x.apart {
			t.Errorf("rooms %q: the rest begins %v and ends %v, other work begins %v", x.rooms,
				rest.Start, rest.Released, other.Start)
		}
	}
}

func TestADateSaysWhereThePianoIsMeanwhile(t *testing.T) {
	t.Parallel()
	c, s := chain("A B", "A B", hard("A", "B", catalogue.StartStart))
	for i, station := range []string{"showroom", "quiet room"} {
		c.Operations[i].Station, c.Operations[i].Subassembly = station, "body"
	}
	c.Operations[0].Needs = "humidity_stable"
	c.Operations[1].Marks = []catalogue.Mark{catalogue.ReadyMark}
	where := shop(t)
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	d, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, s)
	if err != nil {
		t.Fatal(err)
	}
	const want = `this instrument is in another room (showroom) for "work A"`
	if path := d.Queued.Path; len(path) != 2 || path[1].Why != want {
		t.Errorf("the path is %+v, want the last step because %s", path, want)
	}
	left := plan.QueuedWork{
		Name: "Salon", Accepted: at, Scope: scope.Scope{Lines: s.Lines[1:]},
		Ended: []plan.EndedWork{{Operation: "A", Ended: at}},
	}
	list, err := plan.Forecast(t.Context(), []plan.JobWork{{Catalogue: c, Left: left}}, where, at)
	if err != nil {
		t.Fatal(err)
	}
	const kept = "Salon is in another room (showroom), kept for Salon A"
	if path := list[0].Path; len(path) != 1 || path[0].Why != kept {
		t.Errorf("the path is %+v, want its step because %s", path, kept)
	}
}

// A piano that has rested since yesterday isn't voiced elsewhere today, and one that is kept where
// it was left isn't either.
func TestAPianoStaysWhereItHasRestedSinceItsWorkWasOver(t *testing.T) {
	t.Parallel()
	c, s := chain("A B", "A B")
	for i, station := range []string{"showroom", "quiet room"} {
		c.Operations[i].Station, c.Operations[i].Subassembly = station, "body"
	}
	c.Operations[0].Needs, c.Operations[0].Tail.Likely = "humidity_stable", domaintest.Dec("100")
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC)
	rests := at.Add(100 * time.Hour)
	left := scope.Scope{Lines: s.Lines[1:]}
	for name, q := range map[string]plan.QueuedWork{
		"resting": {Scope: left, Ended: []plan.EndedWork{{Operation: "A", Ended: at}}},
		"kept": {Scope: s, Suspended: []plan.SuspendedWork{{
			Operation: "A", Since: at, Until: rests, KeepsStation: true,
		}}},
	} {
		q.Name, q.Accepted = "Salon", at
		list, err := plan.Forecast(t.Context(), []plan.JobWork{{Catalogue: c, Left: q}}, shop(t), at)
		if err != nil {
			t.Fatal(err)
		}
		if next := begins(list[0], "B"); next == nil || next.Start.Before(rests) {
			t.Errorf("%s in the showroom until %v, it is worked on elsewhere from %+v", name, rests, next)
		}
	}
}

func TestDustAndOpenFinishMeetByRoom(t *testing.T) {
	t.Parallel()
	c, s := chain("A B", "A B")
	for i, x := range []struct{ station, emits, needs string }{
		{"bench", "", "dust_free"}, {"action bench", "dust", ""},
	} {
		op := &c.Operations[i]
		op.Station, op.Emits, op.Needs, op.Subassembly = x.station, x.emits, x.needs, "action"
	}
	c.Operations[1].Subassembly = "keyboard"
	c.Operations[0].Tail.Likely = domaintest.Dec("100")
	for _, x := range []struct {
		rooms  [2]string
		called string // empty: they don't meet
	}{
		{[2]string{"", ""}, ""},
		{[2]string{"workshop", "workshop"}, "dust in the workshop"},
		{[2]string{"workshop", "upstairs"}, ""},
		{[2]string{"action bench", ""}, "dust in the action bench"},
	} {
		n := domaintest.Network(t, c, s, domain.Station{Name: "bench", Count: 1, Room: x.rooms[0]},
			domain.Station{Name: "action bench", Count: 1, Room: x.rooms[1]})
		clash := func(one, other schedule.Need) bool {
			return slices.ContainsFunc(n.Clashes, func(k schedule.Clash) bool {
				return k.One == one.Station && k.Other == other.Station
			})
		}
		found := ""
		for _, dust := range activity(t, n, "B").Needs {
			for _, finish := range activity(t, n, "A").Needs {
				if clash(dust, finish) {
					found = n.Stations[dust.Station].Name
				}
			}
		}
		if found != x.called {
			t.Errorf("rooms %q: dust meets open finish as %q, want %q", x.rooms, found, x.called)
		}
	}
}

// Whatever rooms a workshop has and whatever is ahead: no piano is in two rooms, no dust is made
// beside open finish, neither in a room nor between two sittings of polish.
func TestNoPlanHasAPianoInTwoRoomsOrDustOnOpenFinish(t *testing.T) {
	t.Parallel()
	c, j, _, at := worn(t)
	s := j.Work()
	rapid.Check(t, func(rt *rapid.T) {
		where := shop(t)
		for _, name := range catalogue.Stations[1:] {
			if rapid.IntRange(0, 4).Draw(rt, "listed") > 0 {
				where.Stations = append(where.Stations, domain.Station{
					Name: name, Count: rapid.IntRange(1, 2).Draw(rt, "of them"),
					Room: rapid.SampledFrom([]string{"", "", "workshop", "hall"}).Draw(rt, "room"),
				})
			}
		}
		queue := make([]plan.QueuedWork, rapid.IntRange(0, 2).Draw(rt, "ahead"))
		for i := range queue {
			queue[i] = plan.QueuedWork{Name: fmt.Sprint(i), Accepted: at, Scope: part(rt, s)}
		}
		work := make([]plan.JobWork, 0, len(queue)+1)
		for _, q := range append(queue, plan.QueuedWork{Name: "last", Accepted: at, Scope: part(rt, s)}) {
			work = append(work, plan.JobWork{Catalogue: c, Left: q})
		}
		list, err := plan.Forecast(t.Context(), work, where, at)
		if err != nil {
			rt.Fatal(err)
		}
		var dust, open []stay
		for _, line := range list {
			if found := twoPlaces(bodyStays(c, where, line.Steps)); found != "" {
				rt.Fatalf("a piano is in two places: %s", found)
			}
			for _, step := range line.Steps {
				op := c.Operation(step.Operation)
				if !slices.ContainsFunc(where.Stations, func(s domain.Station) bool {
					return s.Name == op.Station
				}) {
					continue
				}
				x := stay{
					where: roomOf(where.Stations, op.Station), why: string(op.Code), from: step.Start,
					to: step.Finish,
				}
				switch {
				case op.Emits == "dust" || slices.Contains(op.Hazards, "wood_dust") ||
					slices.Contains(op.Hazards, "finish_dust"):
					// Over several days it is in the air by day only; those of one day tell.
					if x.to.Sub(x.from) < 12*time.Hour {
						dust = append(dust, x)
					}
				case op.Needs == "dust_free":
					x.to = step.Released
					open = append(open, x)
				}
			}
		}
		for _, d := range dust {
			for _, o := range open {
				if d.where == o.where && d.meets(o) {
					rt.Fatalf("%s makes dust in the %s while the finish of %s is open", d.why, d.where, o.why)
				}
			}
		}
	})
}

// part returns some of the lines of a scope, at least one.
func part(t *rapid.T, s scope.Scope) scope.Scope {
	out := s
	out.Lines = nil
	first := rapid.IntRange(0, len(s.Lines)-1).Draw(t, "first")
	for i, l := range s.Lines {
		if i == first || rapid.IntRange(0, 3).Draw(t, "taken") > 0 {
			out.Lines = append(out.Lines, l)
		}
	}
	return out
}
