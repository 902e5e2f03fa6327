package scope_test

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

func TestALineThatHangsOnOnePointHasThePointsOdds(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	s := domaintest.Draw(
		t, c, domaintest.Grand(), domaintest.SoundButUnknown(t, c, domaintest.Grand(), "SV-39"),
		catalogue.Recondition, domaintest.SameOdds("0.7", "0.2", "0.1"),
	)
	l := lineOf(t, s, "KY-02")
	want := []scope.Branch{
		{Point: "SV-39", Severity: catalogue.Attention, Odds: domaintest.Dec("0.2")},
		{Point: "SV-39", Severity: catalogue.MustAct, Odds: domaintest.Dec("0.1")},
	}
	same := func(a, b scope.Branch) bool {
		return a.Point == b.Point && a.Severity == b.Severity && a.Odds.Equal(b.Odds)
	}
	if !l.Chance.Equal(domaintest.Dec("0.3")) || l.RevealedBy != "IN-03" ||
		!slices.EqualFunc(l.Branches, want, same) || l.Planned() {
		t.Errorf(
			"keys rebushed at %s, revealed by %s, with %v, planned %t", l.Chance, l.RevealedBy,
			l.Branches, l.Planned(),
		)
	}
	if len(s.Doubts) != 1 || s.Doubts[0].Point != "SV-39" ||
		!slices.Contains(s.Doubts[0].Outcomes[1].Adds, "KY-02") {
		t.Errorf("doubts %+v", s.Doubts)
	}
	if want := l.Hours.Likely.Mul(
		domaintest.Dec("0.3"),
	).Round(2); !s.Doubts[0].ExpectedHours.Equal(want) {
		t.Errorf("%s hours expected, want %s", s.Doubts[0].ExpectedHours, want)
	}
}

// With nothing looked at there are far more worlds than are drawn, and still each line that hangs
// on one point has its odds to the last decimal.
func TestASampleOfWorldsKeepsTheOddsOfEachPoint(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		t.Fatal(err)
	}
	odds := domaintest.SameOdds("0.6543", "0.2210", "0.1247")
	odds.Points = map[catalogue.PointCode]domain.Odds{
		"SV-50": domaintest.OddsOf("0.9", "0.0999", "0.0001"),
	}
	restore := domaintest.Draw(t, c, domaintest.Grand(), js, catalogue.Restore, odds)
	recondition := domaintest.Draw(t, c, domaintest.Grand(), js, catalogue.Recondition, odds)
	for _, x := range []struct {
		scope     scope.Scope
		operation catalogue.Code
		chance    string
	}{
		{restore, "KY-05", "0.3457"},     // sharps: SV-10, attention or worse
		{recondition, "KY-05", "0.1247"}, // the same, must act alone
		{recondition, "KY-03", "0.1247"}, // ivories gone: SV-43, must act
		{recondition, "CS-01", "0.0001"}, // the case stripped: SV-50 with odds of its own
		{recondition, "CS-09", "0.9999"}, // and only touched up otherwise
	} {
		if l := lineOf(t, x.scope, x.operation); !l.Chance.Equal(domaintest.Dec(x.chance)) {
			t.Errorf("%s at %s has chance %s, want %s", x.operation, x.scope.Depth, l.Chance, x.chance)
		}
	}
}

// looked returns a judgement of a point found in a way, on the side on which alone it can be bad or
// that the rules ask for.
func looked(c *catalogue.Catalogue, j survey.Judgement, s catalogue.Severity) survey.Judgement {
	j.Severity, j.Side = s, catalogue.Within
	if s == catalogue.Sound {
		return j
	}
	l := c.Point(j.Point).Limits
	switch {
	case l != nil && l.MustLow != nil && l.MustHigh == nil:
		j.Side = catalogue.Low
	case l != nil && l.MustHigh != nil && l.MustLow == nil:
		j.Side = catalogue.High
	default:
		j.Side = c.SideAsked(j.Point)
	}
	return j
}

var severities = []catalogue.Severity{catalogue.Sound, catalogue.Attention, catalogue.MustAct}

// withJudgement returns a copy of judgements with one in the place of its point's.
func withJudgement(js survey.Judgements, j survey.Judgement) survey.Judgements {
	js = slices.Clone(js)
	js[slices.IndexFunc(js, func(x survey.Judgement) bool { return x.Point == j.Point })] = j
	return js
}

// doubtful is a random instrument of which a few points were not looked at.
type doubtful struct {
	drawn
	unknown []catalogue.PointCode
	odds    domain.UnknownOdds
}

func anyDoubtful(t *rapid.T, c *catalogue.Catalogue, most int) doubtful {
	d := doubtful{
		drawn: drawn{
			c: c, in: anyInstrument(t), depth: rapid.SampledFrom(catalogue.Depths).Draw(t, "depth"),
		},
		odds: anyOdds(t),
	}
	var err error
	if d.js, err = survey.Judge(c, d.in.Kind, anySurvey(t, c, d.in.Kind, true)); err != nil {
		t.Fatal(err)
	}
	// What hangs together counts: mostly points of one part of the instrument.
	first := rapid.IntRange(0, len(d.js)-1).Draw(t, "first")
	for i := range rapid.IntRange(1, most).Draw(t, "unknown") {
		j := d.js[(first+i*rapid.SampledFrom([]int{1, 1, 1, 7}).Draw(t, "stride"))%len(d.js)]
		if c.Point(j.Point).Type == catalogue.Pick || slices.Contains(d.unknown, j.Point) {
			continue // the answers of a pick are kinds of thing, not grades of wear
		}
		d.unknown = append(d.unknown, j.Point)
		d.js = withJudgement(d.js, survey.Judgement{Point: j.Point, Severity: catalogue.Unknown})
	}
	// What was looked at and tells nothing yet is a doubt too.
	for _, j := range d.js {
		if j.Severity == catalogue.Unknown && !slices.Contains(d.unknown, j.Point) {
			d.js = withJudgement(d.js, looked(c, j, catalogue.Sound))
		}
	}
	if d.scope, err = scope.Draw(c, d.in, d.js, d.depth, nil, d.odds); err != nil {
		t.Fatal(err)
	}
	return d
}

func anyOdds(t *rapid.T) domain.UnknownOdds {
	parts := func(label string) domain.Odds {
		a := rapid.Int64Range(0, 100).Draw(t, label+" not sound")
		m := rapid.Int64Range(0, a).Draw(t, label+" must act")
		return domain.Odds{
			Sound: decimal.New(100-a, -2), Attention: decimal.New(a-m, -2),
			MustAct: decimal.New(m, -2),
		}
	}
	return domain.UnknownOdds{Default: parts("default"), Points: map[catalogue.PointCode]domain.Odds{
		"SV-11": parts("SV-11"), "SV-16": parts("SV-16"), "SV-33": parts("SV-33"),
	}}
}

// everyWorld looks at all unknown points in every way and gives each complete scope with its
// chance.
func (d doubtful) everyWorld(
	t *rapid.T, each func(survey.Judgements, scope.Scope, decimal.Decimal),
) {
	var walk func(js survey.Judgements, at int, chance decimal.Decimal)
	walk = func(js survey.Judgements, at int, chance decimal.Decimal) {
		if chance.IsZero() {
			return
		}
		if at == len(d.unknown) {
			s, err := scope.Draw(d.c, d.in, js, d.depth, nil, d.odds)
			if err != nil {
				t.Fatal(err)
			}
			each(js, s, chance)
			return
		}
		for _, s := range severities {
			p := d.unknown[at]
			walk(withJudgement(js, looked(d.c, js.Of(p), s)), at+1, chance.Mul(d.odds.Of(p).Of(s)))
		}
	}
	walk(d.js, 0, decimal.NewFromInt(1))
}

// addsToCounted reports whether a finding adds to what was counted, as worm does to the veneer that
// lifts. An open point is known not to: its figures are those of the count until somebody looks. It
// fails where a quantity differs for another reason.
func addsToCounted(t *rapid.T, open, found scope.Scope) bool {
	added := false
	for _, was := range open.Lines {
		is := slices.IndexFunc(
			found.Lines, func(l scope.Line) bool { return l.Operation == was.Operation },
		)
		if is < 0 || found.Lines[is].Quantity.Equal(was.Quantity) {
			continue
		}
		added = true
		if was.Basis != instrument.Known || found.Lines[is].Quantity.LessThan(was.Quantity) {
			t.Errorf("%s: %s %s before a look, %s after it", was.Operation, was.Basis, was.Quantity,
				found.Lines[is].Quantity)
		}
	}
	return added
}

// Looking at every unknown point in every way, one complete survey after the other, must come to
// the same chances, and on average to the same cost.
func TestChancesAreThoseOfAllCompleteSurveys(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rates := domaintest.Terms(c)
	most := 4
	if testing.Short() {
		most = 3
	}
	rapid.Check(t, func(t *rapid.T) {
		d := anyDoubtful(t, c, most)
		chances := map[catalogue.Code]decimal.Decimal{}
		var likely, expected decimal.Decimal
		addedTo := false
		d.everyWorld(t, func(js survey.Judgements, s scope.Scope, chance decimal.Decimal) {
			for _, l := range s.Lines {
				chances[l.Operation] = chances[l.Operation].Add(chance)
			}
			addedTo = addedTo || addsToCounted(t, d.scope, s)
			e, err := scope.Estimate(c, d.in, js, s, rates)
			if err != nil {
				t.Fatal(err)
			}
			total := e.Costs.Total
			likely = likely.Add(total.Likely.Decimal().Mul(chance))
			expected = expected.Add(total.Expected.Decimal().Mul(chance))
		})
		if len(d.scope.Lines) != len(chances) {
			t.Errorf("%d lines, want %v", len(d.scope.Lines), slices.Sorted(maps.Keys(chances)))
		}
		for _, l := range d.scope.Lines {
			if off := l.Chance.Sub(chances[l.Operation]).Abs(); off.GreaterThan(domaintest.Dec("0.000001")) {
				t.Errorf("%s has chance %s, want %s", l.Operation, l.Chance, chances[l.Operation])
			}
		}
		if addedTo {
			return
		}
		e, err := scope.Estimate(c, d.in, d.js, d.scope, rates)
		if err != nil {
			t.Fatal(err)
		}
		got := e.Costs.Total
		if got.Likely.Decimal().Sub(likely).Abs().GreaterThan(domaintest.Dec("0.50")) ||
			got.Expected.Decimal().Sub(expected).Abs().GreaterThan(domaintest.Dec("0.50")) {
			t.Errorf("estimate %v, want %s likely and %s expected", got, likely.Round(2),
				expected.Round(2))
		}
	})
}

// A look changes nothing on average: the expected cost before it is the mean of those after it,
// each finding with its odds. When nothing is left open no line is in doubt.
func TestALookChangesNothingOnAverage(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rates := domaintest.Terms(c)
	rapid.Check(t, func(t *rapid.T) {
		d := anyDoubtful(t, c, 5)
		js, sc := d.js, d.scope
		cost := func(js survey.Judgements) (scope.Scope, decimal.Decimal) {
			s, err := scope.Draw(c, d.in, js, d.depth, nil, d.odds)
			if err != nil {
				t.Fatal(err)
			}
			e, err := scope.Estimate(c, d.in, js, s, rates)
			if err != nil {
				t.Fatal(err)
			}
			return s, e.Costs.Total.Expected.Decimal()
		}
		for _, p := range d.unknown {
			open, before := cost(js)
			mean, after := decimal.Zero, map[catalogue.Severity]survey.Judgements{}
			addedTo := false
			for _, s := range severities {
				if chance := d.odds.Of(p).Of(s); chance.IsPositive() {
					after[s] = withJudgement(js, looked(c, js.Of(p), s))
					found, then := cost(after[s])
					mean = mean.Add(then.Mul(chance))
					addedTo = addedTo || addsToCounted(t, open, found)
				}
			}
			if !addedTo && before.Sub(mean).Abs().GreaterThan(domaintest.Dec("0.60")) {
				t.Errorf("%s: %s expected before a look, %s on average after it", p, before, mean)
			}
			found := rapid.SampledFrom(slices.DeleteFunc(
				slices.Clone(severities),
				func(s catalogue.Severity) bool { return after[s] == nil },
			)).Draw(t, "found "+string(p))
			js = after[found]
		}
		sc, _ = cost(js)
		if slices.ContainsFunc(
			sc.Lines, func(l scope.Line) bool { return !l.Chance.Equal(decimal.NewFromInt(1)) },
		) {
			t.Errorf("all looked at, and still in doubt: %s", lines(sc))
		}
	})
}

func TestOddsOfNothingButSoundAreTheSoundSurvey(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rates := domaintest.Terms(c)
	for _, kind := range domaintest.BothKinds {
		for _, depth := range catalogue.Depths {
			in := instrument.Instrument{
				Kind: kind, SizeMM: 1850, Notes: 88, Owner: instrument.Offered,
			}
			js, err := survey.Judge(c, kind, nil)
			if err != nil {
				t.Fatal(err)
			}
			sure := slices.Clone(js)
			for i := range sure {
				sure[i].Severity = catalogue.Sound
			}
			doubtful := domaintest.Draw(t, c, in, js, depth, domain.OddsFromChance(decimal.Zero))
			certain := domaintest.Draw(t, c, in, sure, depth, domaintest.Odds)
			if lines(doubtful) != lines(certain) {
				t.Errorf("%s %s: got  %s\nwant %s", kind, depth, lines(doubtful), lines(certain))
			}
			got, err := scope.Estimate(c, in, js, doubtful, rates)
			if err != nil {
				t.Fatal(err)
			}
			want, err := scope.Estimate(c, in, sure, certain, rates)
			if err != nil {
				t.Fatal(err)
			}
			if got.Costs != want.Costs {
				t.Errorf("%s %s costs %v, want %v", kind, depth, got.Costs.Total, want.Costs.Total)
			}
		}
	}
}

// Worse odds never lower the cost that is expected, but for points whose sounder finding may
// rightly call for more.
func TestWorseOddsNeverLowerTheCost(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rates := domaintest.Terms(c)
	rapid.Check(t, func(t *rapid.T) {
		d := anyDoubtful(t, c, 4)
		p := rapid.SampledFrom(d.js).Draw(t, "point").Point
		if len(d.unknown) > 0 {
			p = rapid.SampledFrom(d.unknown).Draw(t, "unknown point")
		}
		if clearsTheWay[p] != "" {
			t.Skip("a sounder finding may call for more here")
		}
		cost := func(s scope.Scope) decimal.Decimal {
			e, err := scope.Estimate(c, d.in, d.js, s, rates)
			if err != nil {
				t.Fatal(err)
			}
			return e.Costs.Total.Likely.Decimal()
		}
		worse := domain.UnknownOdds{Default: d.odds.Default, Points: maps.Clone(d.odds.Points)}
		o := d.odds.Of(p)
		shift := o.Sound.Mul(decimal.New(rapid.Int64Range(0, 100).Draw(t, "shift"), -2)).Round(4)
		worse.Points[p] = domain.Odds{
			Sound: o.Sound.Sub(shift), Attention: o.Attention, MustAct: o.MustAct.Add(shift),
		}
		s, err := scope.Draw(c, d.in, d.js, d.depth, nil, worse)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := cost(d.scope), cost(s); b.LessThan(a.Sub(domaintest.Dec("0.20"))) {
			t.Errorf("%s worse by %s costs %s for %s", p, shift, b, a)
		}
	})
}

// Old wire with false beats comes off whole. That the bass was not heard must not lower the work to
// a new bass set, though on sound wire a dead bass calls for no more.
func TestADeadBassBesideTiredWireNeverSavesTheTreble(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := instrument.Instrument{
		Kind: catalogue.Upright, SizeMM: 1250, Notes: 88, Owner: instrument.Offered,
	}
	tired := []survey.Finding{
		domaintest.Number("SV-18", "15", ""), domaintest.Number("SV-20", "50", ""),
	}
	unheard := withJudgement(domaintest.Judged(t, c, in, tired), survey.Judgement{
		Point: "SV-19", Severity: catalogue.Unknown,
	})
	s := domaintest.Draw(t, c, in, unheard, catalogue.Restore, domaintest.Odds)
	if l := lineOf(t, s, "ST-02"); !l.Chance.Equal(domain.One) {
		t.Errorf("the treble is restrung at odds of %s: %s", l.Chance, lines(s))
	}
	dead := domaintest.Number("SV-19", "20", "")
	wantLines(t, domaintest.ScopeOf(t, in, catalogue.Restore,
		[]survey.Finding{tired[0], dead, tired[1]}), "DS-02 ST-02 ST-03", "ST-04")
	wantLines(t, domaintest.ScopeOf(t, in, catalogue.Restore, []survey.Finding{dead}),
		"ST-01 ST-03 ST-04", "DS-02 ST-02")
}

// Of one choice the options exclude each other, however many points call for them: what each has
// for itself comes to one at most.
func TestTheOptionsOfAChoiceComeToOneAtMost(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	rapid.Check(t, func(t *rapid.T) {
		s := anyScope(t, c, false).scope
		for _, choice := range c.Choices {
			sum := decimal.Zero
			for _, o := range choice.Options {
				most := decimal.Zero
				for _, l := range s.Lines {
					only := slices.Contains(o.Operations, l.Operation) &&
						len(c.OptionsWith(l.Operation)) == 1
					if only {
						most = decimal.Max(most, l.Chance)
					}
				}
				sum = sum.Add(most)
			}
			if sum.GreaterThan(domaintest.Dec("1.000003")) {
				t.Errorf("the options of %s come to %s in %s", choice.Group, sum, lines(s))
			}
		}
	})
}

// What comes along only with work that is not certain is revealed with it.
func TestCompanionsOfDoubtfulWorkAreRevealedWithIt(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	s := domaintest.Draw(
		t, c, domaintest.Grand(), domaintest.SoundButUnknown(t, c, domaintest.Grand(), "SV-30"),
		catalogue.Restore, domaintest.SameOdds("0.5", "0.2", "0.3"),
	)
	for _, code := range codes("DS-03", "FR-02", "FR-06", "BD-13", "BD-01") {
		if l := lineOf(t, s, code); !l.Chance.Equal(domaintest.Dec("0.3")) || l.RevealedBy == "" {
			t.Errorf("%s at %s is revealed by %q", code, l.Chance, l.RevealedBy)
		}
	}
}

// A buyer looks at what an hour allows. Whatever is then only likely names the task of the same
// scope that shows whether it is needed.
func TestEveryChanceLineOfAHalfFinishedSurveyIsRevealedByATaskOfItsScope(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	for _, kind := range domaintest.BothKinds {
		in := instrument.Instrument{Kind: kind, SizeMM: 1250, Notes: 88, Owner: instrument.Offered}
		if kind == catalogue.Grand {
			in.SizeMM = 1850
		}
		sound := domaintest.SoundSurvey(c, kind)
		for _, looked := range []int{0, len(sound) / 2} {
			js, err := survey.Judge(c, kind, sound[:looked])
			if err != nil {
				t.Fatal(err)
			}
			for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
				s := domaintest.Draw(t, c, in, js, depth, domaintest.SameOdds("0.6", "0.25", "0.15"))
				open := 0
				for _, l := range s.Lines {
					if l.Chance.Equal(domaintest.Dec("1")) {
						continue
					}
					open++
					if !slices.ContainsFunc(
						s.Lines,
						func(by scope.Line) bool {
							return by.Operation == l.RevealedBy && by.Operation != l.Operation
						},
					) {
						t.Errorf(
							"%s, %d points looked at, %s: %s at %s is revealed by %q", kind, looked,
							depth, l.Operation, l.Chance, l.RevealedBy,
						)
					}
				}
				if open < 10 {
					t.Errorf(
						"%s, %d points looked at, %s: %d lines in doubt prove nothing", kind,
						looked, depth, open,
					)
				}
			}
		}
	}
}

func TestALookTellsWhatItMayChange(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.SoundButUnknown(t, c, domaintest.Grand(), "SV-39", "SV-53")
	s := domaintest.Draw(
		t, c, domaintest.Grand(), js, catalogue.Recondition,
		domaintest.SameOdds("0.7", "0.2", "0.1"),
	)
	looks, err := scope.DoubtCosts(c, domaintest.Grand(), js, s, domaintest.Terms(c))
	if err != nil {
		t.Fatal(err)
	}
	if len(looks) != len(s.Doubts) || len(looks) != 2 ||
		s.Doubts[0].ExpectedHours.LessThan(s.Doubts[1].ExpectedHours) {
		t.Fatalf("%d looks for the doubts %+v", len(looks), s.Doubts)
	}
	cost := func(js survey.Judgements) decimal.Decimal {
		s := domaintest.Draw(t, c, domaintest.Grand(), js, catalogue.Recondition, domaintest.Odds)
		e, err := scope.Estimate(c, domaintest.Grand(), js, s, domaintest.Terms(c))
		if err != nil {
			t.Fatal(err)
		}
		return e.Costs.Total.Likely.Decimal()
	}
	sure := domaintest.SoundButUnknown(t, c, domaintest.Grand())
	for i, d := range s.Doubts {
		for j, way := range d.Outcomes {
			want := cost(withJudgement(sure, looked(c, sure.Of(d.Point), way.Severity))).Sub(cost(sure))
			if got := looks[i].Costs[j].Likely.Decimal(); !got.Equal(want) {
				t.Errorf("%s found %s changes the cost by %s, want %s", d.Point, way.Severity, got, want)
			}
		}
	}
}

func TestOddsAreChecked(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	w := domain.Workshop{Name: "Shop", Zone: "Europe/Lisbon", Terms: domaintest.Terms(c)}
	w.Terms.UnknownOdds = domain.UnknownOdds{Default: domaintest.OddsOf(
		"0.7", "0.2", "0.2",
	), Points: map[catalogue.PointCode]domain.Odds{
		"SV-11": domaintest.OddsOf("1.2", "-0.1", "-0.1"), "SV-12": domaintest.OddsOf(
			"0.33333", "0.33333", "0.33334",
		), "SV-13": {Sound: decimal.New(1, 900_000_000)},
		"SV-15": domaintest.OddsOf("0.5", "0.25", "0.25"),
	}}
	var fault *domain.Fault
	if err := w.Check(); !errors.As(err, &fault) {
		t.Fatalf("got %v", err)
	}
	var got []string
	for _, f := range fault.Fields {
		if strings.Contains(f.Pointer, "unknown_odds") {
			got = append(got, strings.TrimPrefix(f.Pointer, "#/terms/unknown_odds"))
		}
	}
	want := []string{
		"/default", "/points/SV-11/sound", "/points/SV-11/attention", "/points/SV-11/must_act",
		"/points/SV-12/sound", "/points/SV-12/attention", "/points/SV-12/must_act", "/points/SV-13/sound",
	}
	if !slices.Equal(got, want) {
		t.Errorf("faults at %v\nwant      %v", got, want)
	}
	odds := domain.UnknownOdds{
		Default: domaintest.OddsOf("1", "0", "0"),
		Points:  map[catalogue.PointCode]domain.Odds{"SV-99": domaintest.OddsOf("1", "0", "0")},
	}
	if err := odds.CheckPoints(c); !errors.As(err, &fault) ||
		!strings.Contains(fault.Fields[0].Detail, "SV-99") {
		t.Errorf("odds of a point that there is not: %v", err)
	}
}

// A workshop kept one chance for all points before it had odds.
func TestOddsReadWhatWasOneChance(t *testing.T) {
	t.Parallel()
	for document, want := range map[string]domain.Odds{
		`"0.5"`: domaintest.OddsOf("0.5", "0.25", "0.25"), `0.4`: domaintest.OddsOf("0.6", "0.2", "0.2"), `"0"`: domaintest.OddsOf("1", "0", "0"),
		`{"default":{"sound":"0.7","attention":"0.2","must_act":"0.1"}}`: domaintest.OddsOf("0.7", "0.2", "0.1"),
	} {
		var u domain.UnknownOdds
		if err := json.Unmarshal([]byte(document), &u); err != nil {
			t.Fatal(err)
		}
		if d := u.Default; !d.Sound.Equal(want.Sound) || !d.Attention.Equal(want.Attention) ||
			!d.MustAct.Equal(want.MustAct) {
			t.Errorf("%s reads as %+v, want %+v", document, d, want)
		}
	}
	var u domain.UnknownOdds
	if err := json.Unmarshal([]byte(`"much"`), &u); err == nil {
		t.Errorf("a word reads as %+v", u)
	}
}

// The plan is one world: of two options with a chance one alone is planned, and a line that is
// likelier than not mostly is.
func TestThePlanFitsTogether(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.SoundButUnknown(t, c, domaintest.Grand(), "SV-16", "SV-17", "SV-18")
	for _, x := range []struct {
		odds domain.UnknownOdds
		kept bool
	}{
		{domaintest.SameOdds("0.9", "0.05", "0.05"), true},
		{domaintest.SameOdds("0.1", "0.1", "0.8"), false},
	} {
		s := domaintest.Draw(t, c, domaintest.Grand(), js, catalogue.Restore, x.odds)
		if kept, restrung := lineOf(
			t, s, "ST-04",
		).Planned(), lineOf(t, s, "ST-02").Planned(); kept != x.kept || restrung == x.kept {
			t.Errorf("with %v strings kept %t, restrung %t", x.odds.Default, kept, restrung)
		}
	}
}

// The frame is dressed whatever the agraffes are like, but only cracked ones are bought: a world of
// its own, though its work is that of the others.
func TestWhatOnlyOneBranchUsesUpIsCountedWithItsChance(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := instrument.Instrument{
		Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Owner: instrument.Offered,
	}
	js, err := survey.Judge(c, in.Kind, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range js {
		js[i].Severity = catalogue.Sound
	}
	// worn all over but for the capo, so that the frame comes out for one thing or another
	for _, j := range js {
		if c.Point(j.Point).Type != catalogue.Pick && j.Point != "SV-29" {
			js = withJudgement(js, looked(c, j, catalogue.MustAct))
		}
	}
	cost := func(s catalogue.Severity) pricing.Range {
		judged := withJudgement(js, survey.Judgement{Point: "SV-22", Severity: s})
		sc, err := scope.Draw(
			c, in, judged, catalogue.Restore, nil, domain.OddsFromChance(domaintest.Dec("0.3")),
		)
		if err != nil {
			t.Fatal(err)
		}
		e, err := scope.Estimate(c, in, judged, sc, domaintest.Terms(c))
		if err != nil {
			t.Fatal(err)
		}
		return e.Costs.Total
	}
	open, sound, cracked := cost(catalogue.Unknown), cost(catalogue.Sound), cost(catalogue.MustAct)
	if sound.Expected.Cmp(cracked.Expected) >= 0 {
		t.Fatalf("cracked agraffes cost nothing: %v and %v", sound, cracked)
	}
	if open.Expected.Cmp(sound.Expected) <= 0 || open.Expected.Cmp(cracked.Expected) >= 0 {
		t.Errorf("unseen agraffes cost %v, want between %v and %v", open, sound, cracked)
	}
}
