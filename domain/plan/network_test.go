package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

func activity(t testing.TB, n *plan.Network, name string) schedule.Activity {
	t.Helper()
	for _, a := range n.Activities {
		if a.Name == name {
			return a
		}
	}
	t.Fatalf("no activity %s", name)
	return schedule.Activity{}
}

func linksBetween(n *plan.Network, from, to string) []schedule.Link {
	var list []schedule.Link
	for _, l := range n.Links {
		if l.From == from && l.To == to {
			list = append(list, l)
		}
	}
	return list
}

// The order of a full restoration: common practice, no source.
func TestTheNetworkKeepsTheOrderOfTheTrade(t *testing.T) {
	t.Parallel()
	n := domaintest.Network(
		t, domaintest.Shipped(t),
		domaintest.FullRestoration(t, domaintest.Choose("FINISH", "shellac")),
	)
	for _, c := range []struct{ first, then, why string }{
		{"IN-03", "DS-01", "measured before anything is disturbed"},
		{"DS-01", "DS-02", "the action is out before tension comes down"},
		{"DS-02", "DS-03", "no frame bolt is slackened while strings pull"},
		{"DS-03", "BD-02", "the frame is out before the plank"},
		{"FR-02", "BD-03", "drilled through the frame at its final height"},
		{"FR-02", "BD-12", "caps are cut to the string plane"},
		{"BD-03", "FR-03", "gilded after drilling"},
		{"FR-03", "FR-06", "gilded before the last refit"},
		{"BD-13", "FR-06", "the board varnished before the frame goes over it"},
		{
			"CS-03", "BD-13",
			"no sanding dust on wet varnish, though no polyester is sprayed in between",
		},
		{"FR-06", "ST-02", "the frame in before strings"},
		{"ST-02", "ST-03", "covered strings last"},
		{"ST-03", "ST-05", "all strings on before chipping up"},
		{"ST-05", "RG-01", "regulated to strings near pitch"},
		{"AC-06", "RG-01", "regulated with the new hammers"},
		{"RG-01", "VO-01", "voiced once regulated"},
		{"VO-01", "TU-03", "tuned last"},
		{"QC-02", "TU-03", "tuned after the rest in showroom air"},
		{"TU-03", "QC-03", "photographed in tune"},
	} {
		if !domaintest.Before(n, c.first, c.then) {
			t.Errorf("%s does not come before %s: %s", c.first, c.then, c.why)
		}
		if domaintest.Before(n, c.then, c.first) {
			t.Errorf("%s comes before %s", c.then, c.first)
		}
	}
}

func TestEverythingIsDoneBeforeTheInstrumentIsReady(t *testing.T) {
	t.Parallel()
	n := domaintest.Network(t, domaintest.Shipped(t), domaintest.FullRestoration(t))
	for _, a := range n.Activities {
		if a.Name != "QC-03" && !domaintest.Before(n, a.Name, "QC-03") {
			t.Errorf("%s may still be open when the instrument is ready", a.Name)
		}
		for _, left := range []string{"IN-01", "DL-01", "DL-02"} {
			if a.Name == left {
				t.Errorf("%s isn't a part of making the instrument ready", left)
			}
		}
	}
}

// Check value CV-37 of the trade dossier: five months for a full restoration of a grand, within a
// fifth (its source S25); the sum of the longest path is a floor, and the weeks after delivery are
// no part of it. The critical path here ends with the photographs and works seven hours a day, five
// days a week.
func TestAFullRestorationTakesMonths(t *testing.T) {
	t.Parallel()
	n := domaintest.Network(
		t, domaintest.Shipped(t),
		domaintest.FullRestoration(t, domaintest.Choose("FINISH", "shellac")),
	)
	days := domaintest.DaysToReady(t, n)
	if days < 95 || days > 152*6/5 {
		t.Errorf("a full restoration takes %d days, want from 95 to 182", days)
	}
	light := domaintest.DaysToReady(
		t,
		domaintest.Network(
			t, domaintest.Shipped(t),
			domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil),
		),
	)
	if light*2 > days {
		t.Errorf("reconditioning takes %d days and a full restoration %d", light, days)
	}
}

// chain returns a catalogue of bare operations A, B, … linked as given, and a scope of some of
// them.
func chain(
	operations, inScope string, links ...catalogue.Link,
) (*catalogue.Catalogue, scope.Scope) {
	c := &catalogue.Catalogue{Links: links}
	var s scope.Scope
	for _, code := range strings.Fields(operations) {
		op := domaintest.Operation(code, "work "+code)
		op.Tail = catalogue.ThreePoint{Likely: domaintest.Dec("24")}
		c.Operations = append(c.Operations, op)
		if strings.Contains(inScope, code) {
			s.Lines = append(s.Lines, scope.Line{
				Operation: op.Code, Name: op.Name, Chance: decimal.NewFromInt(1), Making: catalogue.InHouse,
				Sessions: 1,
				Hours: catalogue.ThreePoint{
					Low: domaintest.Dec("1"), Likely: domaintest.Dec("2"),
					High: domaintest.Dec("4"),
				},
			})
		}
	}
	return c, s
}

func hard(from, to string, kind catalogue.LinkType, lag ...string) catalogue.Link {
	l := catalogue.Link{
		From: catalogue.Code(from), To: catalogue.Code(to), Type: kind, Hard: true,
		Reason: "because",
	}
	if len(lag) > 0 {
		l.LagHours = domaintest.Ptr(domaintest.Dec(lag[0]))
	}
	return l
}

func TestWhoeverIsLeftOutIsStoodInForByItsOwnPredecessors(t *testing.T) {
	t.Parallel()
	const fs, ss, ff, sf = catalogue.FinishStart, catalogue.StartStart, catalogue.FinishFinish,
		catalogue.StartFinish
	soft := hard("A", "B", fs)
	soft.Hard = false
	lapsing := func(from, to string) catalogue.Link {
		l := hard(from, to, fs)
		l.Lapses = true
		return l
	}
	cases := []struct {
		name    string
		inScope string
		links   []catalogue.Link
		want    []schedule.Link
	}{
		{
			"both in the job", "A B",
			[]catalogue.Link{hard("A", "B", fs)},
			[]schedule.Link{{From: "A", To: "B"}},
		},
		{
			"a lag takes the place of the tail", "A B",
			[]catalogue.Link{hard("A", "B", fs, "6")},
			[]schedule.Link{{From: "A", To: "B", Lag: schedule.ElapsedLag(6 * schedule.Hour)}},
		},
		{"a soft link binds nothing", "A B", []catalogue.Link{soft}, nil},
		{
			"one left out", "A C",
			[]catalogue.Link{hard("A", "B", fs), hard("B", "C", fs, "6")},
			[]schedule.Link{{From: "A", To: "C"}},
		},
		{
			"two left out", "A D",
			[]catalogue.Link{hard("A", "B", fs), hard("B", "C", fs), hard("C", "D", fs)},
			[]schedule.Link{{From: "A", To: "D"}},
		},
		{
			"two ways round", "A D",
			[]catalogue.Link{
				hard("A", "B", fs), hard("A", "C", fs), hard("B", "D", fs), hard("C", "D", fs),
			},
			[]schedule.Link{{From: "A", To: "D"}},
		},
		{
			"the walk stops at what is in the job", "A B D",
			[]catalogue.Link{hard("A", "B", fs), hard("B", "C", fs), hard("C", "D", fs)},
			[]schedule.Link{{From: "A", To: "B"}, {From: "B", To: "D"}},
		},
		{
			"it ends at the acceptance", "C",
			[]catalogue.Link{hard("A", "B", fs), hard("B", "C", fs)},
			nil,
		},
		{
			"and where it comes round", "D",
			[]catalogue.Link{hard("B", "C", fs), hard("C", "B", fs), hard("C", "D", fs)},
			nil,
		},
		{
			"a link that lapses, both in the job", "A B",
			[]catalogue.Link{lapsing("A", "B")},
			[]schedule.Link{{From: "A", To: "B"}},
		},
		{
			"it lapses with what it leads to", "A C",
			[]catalogue.Link{lapsing("A", "B"), hard("B", "C", fs)},
			nil,
		},
		{
			"and further on", "A D",
			[]catalogue.Link{hard("A", "B", fs), lapsing("B", "C"), hard("C", "D", fs)},
			nil,
		},
		{
			"not with what it comes from", "A C",
			[]catalogue.Link{hard("A", "B", fs), lapsing("B", "C")},
			[]schedule.Link{{From: "A", To: "C"}},
		},
		{
			"another way round stays", "A D",
			[]catalogue.Link{
				lapsing("A", "B"), hard("A", "C", fs), hard("B", "D", fs), hard("C", "D", fs),
			},
			[]schedule.Link{{From: "A", To: "D"}},
		},
		{
			"ends are kept: start", "A C",
			[]catalogue.Link{hard("A", "B", ss), hard("B", "C", fs)},
			[]schedule.Link{{From: "A", To: "C", Kind: schedule.StartToStart}},
		},
		{
			"ends are kept: finish", "A C",
			[]catalogue.Link{hard("A", "B", fs), hard("B", "C", ff)},
			[]schedule.Link{{From: "A", To: "C", Kind: schedule.FinishToFinish}},
		},
		{
			"ends are kept: both", "A C",
			[]catalogue.Link{hard("A", "B", ss), hard("B", "C", ff)},
			[]schedule.Link{{From: "A", To: "C", Kind: schedule.StartToFinish}},
		},
		{"all four kinds", "A B C D", []catalogue.Link{
			hard("A", "B", ss), hard("B", "C", ff), hard("C", "D", sf),
		}, []schedule.Link{
			{From: "A", To: "B", Kind: schedule.StartToStart}, {
				From: "B", To: "C", Kind: schedule.FinishToFinish,
			}, {From: "C", To: "D", Kind: schedule.StartToFinish},
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			cat, s := chain("A B C D", c.inScope, c.links...)
			if got := domaintest.Network(t, cat, s).Links; !slices.Equal(got, c.want) {
				t.Errorf("got  %+v\nwant %+v", got, c.want)
			}
		})
	}
}

func TestTheLastOperationWaitsForWhatNothingElseWaitsFor(t *testing.T) {
	t.Parallel()
	const fs = catalogue.FinishStart
	c, s := chain(
		"A B C D QC-03", "A B C D QC-03", hard("A", "B", fs), hard("C", "QC-03", fs),
		hard("QC-03", "D", fs),
	)
	want := []schedule.Link{
		{From: "A", To: "B"},
		{From: "QC-03", To: "D"},
		{From: "C", To: "QC-03"},
		{From: "B", To: "QC-03"},
	}
	if got := domaintest.Network(t, c, s).Links; !slices.Equal(got, want) {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
}

func TestHoursAreSharedByTheCrewInQuarterHoursRoundedUp(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		hours string
		crew  int
		want  schedule.Ticks
	}{{"2", 1, 8}, {"5", 2, 10}, {"1.01", 1, 5}, {"0.1", 2, 1}, {"0", 1, 0}} {
		cat, s := chain("A", "A")
		cat.Operations[0].Crew = c.crew
		s.Lines[0].Hours.Likely = domaintest.Dec(c.hours)
		a := activity(t, domaintest.Network(t, cat, s), "A")
		if a.Work != c.want || a.Tail != 24*schedule.Hour {
			t.Errorf(
				"%s h by %d: got %d ticks and a tail of %d min, want %d and a day", c.hours, c.crew,
				a.Work, a.Tail, c.want,
			)
		}
	}
}

func TestSittingsAreAChainWithGaps(t *testing.T) {
	t.Parallel()
	c, s := chain(
		"A B C", "A B C", hard("A", "B", catalogue.FinishStart),
		hard("B", "C", catalogue.FinishStart),
	)
	c.Operations[1].Sessions = &catalogue.Sessions{Count: 3, GapHours: domaintest.Dec("20")}
	s.Lines[1].Sessions = 3
	n := domaintest.Network(t, c, s)
	want := []schedule.Link{
		{From: "B 1/3", To: "B 2/3", Lag: schedule.ElapsedLag(20 * schedule.Hour)},
		{From: "B 2/3", To: "B 3/3", Lag: schedule.ElapsedLag(20 * schedule.Hour)},
		{From: "A", To: "B 1/3"},
		{From: "B 3/3", To: "C"},
	}
	if !slices.Equal(n.Links, want) {
		t.Errorf("got  %+v\nwant %+v", n.Links, want)
	}
	if last := activity(t, n, "B 3/3"); last.Tail != 24*schedule.Hour {
		t.Errorf("the last sitting has a tail of %d min", last.Tail)
	}
	// With half an hour left, two quarter hours fill two sittings.
	s.Lines[1].Hours.Likely = domaintest.Dec("0.5")
	if n = domaintest.Network(t, c, s); len(linksBetween(n, "B 1/2", "B 2/2")) != 1 {
		t.Errorf("got %+v, want two sittings", n.Links)
	}
}

// A coat stays as open to dust between two sittings as after the last, and work that needs no such
// air leaves its place between them.
func TestWhatNeedsCleanAirKeepsItsPlaceBetweenSittings(t *testing.T) {
	t.Parallel()
	for needs, want := range map[string]schedule.Minutes{"dust_free": 20 * schedule.Hour, "": 0} {
		c, s := chain("A B", "A B", hard("A", "B", catalogue.FinishStart))
		c.Operations[1].Needs = needs
		c.Operations[1].Sessions = &catalogue.Sessions{Count: 2, GapHours: domaintest.Dec("20")}
		s.Lines[1].Sessions = 2
		n := domaintest.Network(t, c, s)
		if first := activity(t, n, "B 1/2"); first.Tail != want {
			t.Errorf("needing %q, the first sitting has a tail of %d min, want %d", needs, first.Tail, want)
		}
		if last := activity(t, n, "B 2/2"); last.Tail != 24*schedule.Hour {
			t.Errorf("needing %q, the last sitting has a tail of %d min", needs, last.Tail)
		}
		// a firm gives it back once
		s.Lines[1].Making = catalogue.Outside
		if n := domaintest.Network(t, c, s); len(n.Activities) != 2 || activity(t, n, "B").Work != 0 {
			t.Errorf("needing %q, at a firm it is %+v", needs, n.Activities)
		}
	}
}

func TestWorkDoneOutsideTakesTheFirmsTimeAndNoneOfOurs(t *testing.T) {
	t.Parallel()
	c, s := chain("A B", "A B", hard("A", "B", catalogue.FinishStart, "6"))
	c.Operations[0].Buying = &catalogue.Buying{
		TurnRound: catalogue.ThreePoint{Likely: domaintest.Dec("3")},
	}
	c.Operations[0].Lead = &catalogue.Lead{
		Item: "parts", Weeks: catalogue.ThreePoint{Likely: domaintest.Dec("9")},
	}
	s.Lines[0].Making = catalogue.Outside
	n := domaintest.Network(t, c, s)
	a := activity(t, n, "A")
	if a.Work != 0 || a.Tail != 3*7*schedule.Day+24*schedule.Hour || !a.Release.IsZero() {
		t.Errorf("got %+v, want three weeks and the tail, no hours, no parts of ours", a)
	}
	// The lag of six hours counts from when the work is back.
	back := schedule.ElapsedLag(3*7*schedule.Day + 6*schedule.Hour)
	if want := (schedule.Link{From: "A", To: "B", Lag: back}); n.Links[0] != want {
		t.Errorf("got %+v, want %+v", n.Links[0], want)
	}
}

func TestPartsAreOrderedWhenTheirOperationIsDoneElseOnAcceptance(t *testing.T) {
	t.Parallel()
	sixWeeks := 6 * 7 * schedule.Day
	cases := []struct {
		name, operations, inScope string
		after                     catalogue.Code
		links                     []schedule.Link
		release                   time.Time
	}{
		{
			"after one in the job", "A B", "A B", "A",
			[]schedule.Link{{From: "A", To: "B", Lag: schedule.ElapsedLag(sixWeeks)}},
			time.Time{},
		},
		{"after one not in the job", "A B", "B", "A", nil, domaintest.Accepted.AddDate(0, 0, 42)},
		{"after nothing", "B", "B", "", nil, domaintest.Accepted.AddDate(0, 0, 42)},
		{
			"after the intake", "IN-03 B", "IN-03 B", "IN-03", nil,
			domaintest.Accepted.AddDate(0, 0, 42),
		},
		{
			"after the survey", "IN-01 B", "IN-01 B", "IN-01", nil,
			domaintest.Accepted.AddDate(0, 0, 42),
		},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			c, s := chain(x.operations, x.inScope)
			op := &c.Operations[len(c.Operations)-1]
			op.Lead = &catalogue.Lead{
				Item: "hammers to sample", Weeks: catalogue.ThreePoint{Likely: domaintest.Dec("6")},
				After: x.after,
			}
			n := domaintest.Network(t, c, s)
			if b := activity(t, n, "B"); !slices.Equal(n.Links, x.links) ||
				!b.Release.Equal(x.release) {
				t.Errorf(
					"got %+v, released %v; want %+v, released %v", n.Links, b.Release, x.links,
					x.release,
				)
			}
		})
	}
}

func TestLikelyWorkWaitsForWhatRevealsIt(t *testing.T) {
	t.Parallel()
	c, s := chain("A B C", "A B C", hard("B", "C", catalogue.FinishStart))
	c.Operations[1].Lead = &catalogue.Lead{
		Item: "a blank", Weeks: catalogue.ThreePoint{Likely: domaintest.Dec("1")},
	}
	s.Lines[1].Chance, s.Lines[1].Expected, s.Lines[1].RevealedBy = domaintest.Dec("0.6"), true, "A"
	// What comes after B cannot reveal it: no ring of links.
	s.Lines[0].Chance, s.Lines[0].Expected, s.Lines[0].RevealedBy = domaintest.Dec("0.6"), true, "C"
	n := domaintest.Network(t, c, s)
	revealed := []schedule.Link{
		{From: "C", To: "A", Lag: schedule.ElapsedLag(0)},
	}
	if got := linksBetween(n, "C", "A"); !slices.Equal(got, revealed) {
		t.Errorf("A waits by %+v, want %+v", got, revealed)
	}
	if got := linksBetween(n, "A", "B"); len(got) != 0 {
		t.Errorf("B waits for A, which waits for B through C: %+v", got)
	}

	s.Lines[0].RevealedBy = ""
	n = domaintest.Network(t, c, s)
	want := []schedule.Link{
		// known at the end of its attended work
		{From: "A", To: "B", Lag: schedule.ElapsedLag(0)},
		// and no part is ordered before
		{From: "A", To: "B", Lag: schedule.ElapsedLag(7 * schedule.Day)},
	}
	if got := linksBetween(n, "A", "B"); !slices.Equal(got, want) {
		t.Errorf("B waits by %+v, want %+v", got, want)
	}
	s.Lines[1].Expected = false
	if n = domaintest.Network(t, c, s); len(n.Activities) != 2 {
		t.Errorf("work that isn't expected is planned: %+v", n.Activities)
	}
}

// No checked catalogue has a round of links. One by hand is refused, not planned without an end.
func TestLinksInARoundAreRefused(t *testing.T) {
	t.Parallel()
	c, s := chain(
		"A B", "A B", hard("A", "B", catalogue.FinishStart), hard("B", "A", catalogue.FinishStart),
	)
	where := shop(t)
	at := time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
	sit := plan.Situation{Shop: where, At: at}
	if d, err := sit.DatesOf(t.Context(), c, s); err == nil {
		t.Errorf("it has dates: ready %s", d.Alone.Ready)
	}
	work := plan.QueuedWork{Name: "Aldermere", Scope: s, Accepted: at}
	list, err := plan.Forecast(
		t.Context(), []plan.JobWork{{Catalogue: c, Left: work}}, where, at,
	)
	if err == nil {
		t.Errorf("it has a forecast: %+v", list)
	}
	in := plan.Inputs{At: at, Schedules: 10, Jobs: []plan.JobInput{{Left: work}}}
	in.Workshop.Open, in.Workshop.Terms.Currency = where.Open, "EUR"
	if p, err := plan.Compute(t.Context(), in, []*catalogue.Catalogue{c}, where.Zone, 1); err == nil {
		t.Errorf("it has a plan: %+v", p.Jobs)
	}
}

func TestActivitiesHoldStationsAndThePartThatTheyWorkOn(t *testing.T) {
	t.Parallel()
	c, s := chain("A B C D E F", "A B C D E F")
	c.Operations[0].Marks = append(c.Operations[0].Marks, catalogue.InBodyMark)
	for i, x := range []struct{ station, part, needs string }{
		{"frame hoist", "frame", ""},
		{
			"drying room", "body", "humidity_stable",
		},
		{"quiet room", "body", "quiet"},
		{"bench", "whole", ""},
		{"", "", ""},
		{"bench", "action", ""},
	} {
		op := &c.Operations[i]
		op.Station, op.Subassembly, op.Needs = x.station, x.part, x.needs
	}
	stations := []domain.Station{
		{Name: "bench", Count: 2, Room: "workshop"},
		{Name: "frame hoist", Count: 1, Room: "workshop"},
		{Name: "drying room", Count: 1},
	}
	n := domaintest.Network(t, c, s, stations...)
	index := func(name string) int {
		i := slices.IndexFunc(n.Stations, func(s schedule.Station) bool { return s.Name == name })
		if i < 0 {
			t.Fatalf("no station %q among %+v", name, n.Stations)
		}
		return i
	}
	frame, body := index("frame of this instrument"), index("body of this instrument")
	place, action := index("place of this instrument"), index("action of this instrument")
	for name, want := range map[string][]schedule.Need{
		"A": {
			{Station: index("frame hoist"), Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: place, Quantity: 1, Hold: schedule.HoldToFinish, State: 1},
			{Station: frame, Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: body, Quantity: 1, Hold: schedule.HoldToFinish}, // the frame is lifted into it
		},
		"B": {
			{Station: index("drying room"), Quantity: 1, Hold: schedule.HoldThroughTail},
			{Station: place, Quantity: 1, Hold: schedule.HoldThroughTail, State: 2},
			{Station: body, Quantity: 1, Hold: schedule.HoldToFinish},
		},
		// no quiet room is listed: nothing waits for room in it
		"C": {
			{Station: place, Quantity: 1, Hold: schedule.HoldToFinish, State: 3},
			{Station: body, Quantity: 1, Hold: schedule.HoldToFinish},
		},
		"D": {
			{Station: index("bench"), Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: place, Quantity: 1, Hold: schedule.HoldToFinish, State: 1},
			{Station: frame, Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: body, Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: action, Quantity: 1, Hold: schedule.HoldToFinish},
		},
		"E": nil,
		// wherever the body is meanwhile
		"F": {
			{Station: index("bench"), Quantity: 1, Hold: schedule.HoldToFinish},
			{Station: action, Quantity: 1, Hold: schedule.HoldToFinish},
		},
	} {
		if got := activity(t, n, name).Needs; !slices.Equal(got, want) {
			t.Errorf("%s needs %+v, want %+v", name, got, want)
		}
	}
	if !slices.Equal(n.Unlimited, []string{"quiet room"}) || n.Stations[0].Capacity != 2 {
		t.Errorf("unlimited %v, stations %+v", n.Unlimited, n.Stations)
	}
}
