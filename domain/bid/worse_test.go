package bid_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/survey"

	"pgregory.net/rapid"
)

// Glue goes into no parted plank, so the work falls away, and the price must not rise with it.
func TestAPartedPlankThatAWayLeavesMakesNoBetterPrice(t *testing.T) {
	t.Parallel()
	base := bidFor(t, inRange(catalogue.AsFound, "8000", "9000", "10000"),
		inRange(catalogue.Recondition, "11000", "14000", "16500"),
		inRange(catalogue.Restore, "41000", "44000", "46500"))
	base.Findings = append(
		without(base.Findings, "SV-11"), domaintest.Number("SV-11", "2", "N.m"),
	)
	sound, parted, blind := base, base, base
	blind.Findings = without(base.Findings, "SV-15")
	parted.Findings = append(slices.Clone(blind.Findings), domaintest.Number("SV-15", "4", ""))
	best, unlooked, worst := workOut(t, sound), workOut(t, blind), workOut(t, parted)
	for i, w := range worst.Ways {
		b, u := aimOf(best.Ways[i]), aimOf(unlooked.Ways[i])
		t.Logf("%s: sound %s, unlooked %s, parted %s, spared %+v", w.Depth, b, u, aimOf(w), w.Spared)
		if u.GreaterThan(b) || aimOf(w).GreaterThan(u) {
			t.Errorf("%s: aims at %s with a sound plank, %s unlooked, %s parted", w.Depth, b, u, aimOf(w))
		}
		if (w.Spared != nil) != (w.Depth != catalogue.Restore) {
			t.Errorf("%s: spared %+v", w.Depth, w.Spared)
		}
	}
}

// Pins so tight that they break call for nothing, and friction too low for less than friction too
// high: neither makes a piano worth more than pins that nobody turned or keys that nobody weighed.
func TestABadReadingOnTheOtherSideIsWorthNoMoreThanNone(t *testing.T) {
	t.Parallel()
	base := bidFor(t, inRange(catalogue.Recondition, "11000", "14000", "16500"),
		inRange(catalogue.Restore, "42000", "45000", "47500"))
	for _, row := range []struct {
		point          catalogue.PointCode
		value, unit    string
		dearerUnlooked catalogue.Depth // where a sound one is worth more than one not looked at
	}{
		{"SV-11", "31", "N.m", catalogue.Restore},
		{"SV-40", "2.1", "g", catalogue.Recondition},
	} {
		unlooked, bad := base, base
		unlooked.Findings = without(base.Findings, row.point)
		bad.Findings = append(slices.Clone(unlooked.Findings),
			domaintest.Number(string(row.point), row.value, row.unit))
		best, blind, worst := workOut(t, base), workOut(t, unlooked), workOut(t, bad)
		for i, w := range worst.Ways {
			u, b := blind.Ways[i], best.Ways[i]
			t.Logf("%s %s: sound %s, unlooked %s, bad %s, spared %+v", row.point, w.Depth, aimOf(b), aimOf(u),
				aimOf(w), w.Spared)
			if aimOf(w).GreaterThan(aimOf(u)) {
				t.Errorf("%s %s: aims at %s found bad, %s unlooked", row.point, w.Depth, aimOf(w), aimOf(u))
			}
			if w.Depth == row.dearerUnlooked && (!aimOf(u).LessThan(aimOf(b)) || w.Spared == nil) {
				t.Errorf("%s %s: %s sound, %s unlooked, spared %+v", row.point, w.Depth, aimOf(b), aimOf(u),
					w.Spared)
			}
		}
	}
}

// findingOf returns a finding that is judged so, on the side on which the point is usually bad or
// on the other; false where there is none.
func findingOf(
	t testing.TB, c *catalogue.Catalogue, p *catalogue.Point, want catalogue.Severity, other bool,
) (survey.Finding, bool) {
	t.Helper()
	for _, x := range candidates(p) {
		js, err := survey.Judge(c, catalogue.Grand, []survey.Finding{x})
		if err != nil {
			continue
		}
		j := js.Of(p.Code)
		side := survey.BadSide(p.Limits)
		if side == catalogue.Within {
			side = c.SideAsked(p.Code)
		}
		if j.Severity == want && (want == catalogue.Sound || !other && side == catalogue.Within ||
			j.Side != catalogue.Within && (j.Side == side) != other) {
			return x, true
		}
	}
	return survey.Finding{}, false
}

func candidates(p *catalogue.Point) []survey.Finding {
	list := []survey.Finding{
		domaintest.SoundFinding(p), domaintest.Flag(string(p.Code), false),
		domaintest.Flag(string(p.Code), true),
	}
	for _, v := range []string{
		"0", "1", "2", "2.1", "3", "4",
		"0.2", "0.5", "0.8", "1.5", "2.5", "3.5", "5", "6", "7", "8", "9", "10",
		"11", "12", "13", "14", "15", "20", "25", "30", "40", "45", "50", "60", "70", "80", "100", "120",
		"410", "415", "425", "430", "435", "437", "440", "445",
	} {
		list = append(list, domaintest.Number(string(p.Code), v, ""))
	}
	return list
}

// explains lists the points that explain a short ring or a lost crown where they are bad: good ones
// are what condemns the board, so that a bad one may rightly raise a price beside such a finding.
var explains = []catalogue.PointCode{"SV-22", "SV-32", "SV-33", "SV-34", "SV-35"}

// ofTheBoard are the findings that they explain.
var ofTheBoard = []catalogue.PointCode{"SV-23", "SV-24", "SV-25"}

// A short ring under worn hammers is no verdict on the board, so prices count with the work of the
// table and with no other.
func TestWhatExplainsAFindingSparesNothing(t *testing.T) {
	t.Parallel()
	base := bidFor(t, inRange(catalogue.Restore, "91000", "94000", "96500"))
	c := domaintest.Shipped(t)
	findings := without(base.Findings, append(slices.Clone(explains), "SV-24")...)
	for _, p := range []catalogue.PointCode{"SV-22", "SV-32", "SV-33", "SV-34"} {
		findings = append(findings, domaintest.SoundFinding(c.Point(p)))
	}
	ring, _ := findingOf(t, c, c.Point("SV-24"), catalogue.MustAct, false)
	findings = append(findings, ring)
	board := func(more ...survey.Finding) bid.WayResult {
		in := base
		in.Findings = append(slices.Clone(findings), more...)
		return workOut(t, in).Ways[0]
	}
	worn, _ := findingOf(t, c, c.Point("SV-35"), catalogue.MustAct, false)
	good, bad, unlooked := board(domaintest.SoundFinding(c.Point("SV-35"))), board(worn), board()
	for name, w := range map[string]bid.WayResult{"worn": bad, "not looked at": unlooked} {
		if w.Spared != nil {
			t.Errorf("hammers %s spare %+v", name, w.Spared)
		}
	}
	if !aimOf(good).LessThan(aimOf(bad)) || !aimOf(good).LessThan(aimOf(unlooked)) {
		t.Errorf("aims at %s with good hammers, %s with worn ones, %s unlooked: the board is condemned "+
			"by the first only", aimOf(good), aimOf(bad), aimOf(unlooked))
	}
}

// Whatever else was found: a finding that is worse raises no price of any way, and nor does not
// looking at a point against finding it sound, unless it explains another finding.
func TestNothingWorseAndNothingUnknownRaisesAPrice(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	zone, err := time.LoadLocation("Europe/Lisbon")
	if err != nil {
		t.Fatal(err)
	}
	base := bidFor(t)
	ways := []bid.Way{
		inRange(catalogue.AsFound, "18000", "19000", "20000"),
		inRange(catalogue.Recondition, "41000", "44000", "46500"),
		inRange(catalogue.Restore, "91000", "94000", "96500"),
	}
	type bySeverity = map[catalogue.Severity]survey.Finding
	by, onOtherSide := map[catalogue.PointCode]bySeverity{}, map[catalogue.PointCode]bySeverity{}
	var points, sides []catalogue.PointCode // sides: those with another bad side
	for i := range c.Points {
		p := &c.Points[i]
		// How many keys there are is neither good nor bad: fewer are less work.
		if !slices.Contains(p.Kinds, catalogue.Grand) || p.Code == "SV-01" {
			continue
		}
		found, others := bySeverity{}, bySeverity{}
		for _, s := range []catalogue.Severity{
			catalogue.Sound, catalogue.Attention, catalogue.MustAct,
		} {
			if x, ok := findingOf(t, c, p, s, false); ok {
				found[s] = x
			}
			if x, ok := findingOf(t, c, p, s, true); ok {
				others[s] = x
			}
		}
		if len(found) > 1 {
			by[p.Code] = found
			points = append(points, p.Code)
		}
		if len(others) > 1 {
			onOtherSide[p.Code] = others
			sides = append(sides, p.Code)
		}
	}
	if len(points) < 50 {
		t.Fatalf("only %d points have a good and a bad finding", len(points))
	}
	if !slices.Contains(sides, "SV-11") || !slices.Contains(sides, "SV-40") {
		t.Fatalf("only %v can be bad on either side", sides)
	}
	grades := []catalogue.Severity{catalogue.Sound, catalogue.Attention, catalogue.MustAct}
	price := func(findings []survey.Finding, way bid.Way) bid.WayResult {
		in := base
		in.Asked.Ways = []bid.Way{way}
		in.Findings = findings
		in.Stops = domaintest.Stops(t, "GB", in.Instrument, in.Findings)
		r, err := bid.Compute(t.Context(), in, c, zone)
		if err != nil {
			t.Fatal(err)
		}
		return r.Ways[0]
	}
	rapid.Check(t, func(rt *rapid.T) {
		findings := without(base.Findings, points...)
		changed := rapid.SampledFrom(points).Draw(rt, "point")
		graded := by[changed]
		if rapid.Bool().Draw(rt, "on the other side") {
			changed = rapid.SampledFrom(sides).Draw(rt, "point with two")
			graded = onOtherSide[changed]
		}
		for _, p := range points {
			if p == changed {
				continue
			}
			s := rapid.SampledFrom([]catalogue.Severity{
				catalogue.Sound, catalogue.Sound, catalogue.Sound, catalogue.Attention, catalogue.MustAct,
			}).Draw(rt, string(p))
			graded := by[p]
			if onOtherSide[p] != nil && rapid.Bool().Draw(rt, string(p)+" on the other side") {
				graded = onOtherSide[p]
			}
			x, ok := graded[s]
			if !ok || c.Point(p).HardStop {
				x = by[p][catalogue.Sound]
			}
			findings = append(findings, x)
		}
		if slices.Contains(explains, changed) {
			for _, p := range ofTheBoard {
				findings = append(without(findings, p), by[p][catalogue.Sound])
			}
		}
		way := rapid.SampledFrom(ways).Draw(rt, "depth")
		var before *bid.WayResult
		unlooked := aimOf(price(findings, way))
		for _, s := range grades {
			x, ok := graded[s]
			if !ok {
				continue
			}
			w := price(append(slices.Clone(findings), x), way)
			if s == catalogue.Sound && unlooked.GreaterThan(aimOf(w)) {
				rt.Errorf("%s, %s not looked at: aims at %s, found sound at %s", w.Depth, changed, unlooked,
					aimOf(w))
			}
			if s == catalogue.MustAct && aimOf(w).GreaterThan(unlooked) {
				rt.Errorf("%s, %s must be acted on: aims at %s, not looked at at %s", w.Depth, changed,
					aimOf(w), unlooked)
			}
			if before != nil && aimOf(w).GreaterThan(aimOf(*before)) {
				rt.Errorf("%s, %s %s: aims at %s, less bad at %s", w.Depth, changed, s, aimOf(w),
					aimOf(*before))
			}
			before = &w
		}
	})
}
