package scope_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

func has(s scope.Scope, code string) bool {
	return slices.ContainsFunc(
		s.Lines, func(l scope.Line) bool { return l.Operation == catalogue.Code(code) },
	)
}

func wantLines(t *testing.T, s scope.Scope, want, not string) {
	t.Helper()
	for _, code := range strings.Fields(want) {
		if !has(s, code) {
			t.Errorf("%s is missing in %s", code, lines(s))
		}
	}
	for _, code := range strings.Fields(not) {
		if has(s, code) {
			t.Errorf("%s should not be in %s", code, lines(s))
		}
	}
}

func TestANewPlankTakesStringsOffFrameOutAndInAndPinsOfTheFirstSize(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{domaintest.Number("SV-15", "4", "")}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	wantLines(
		t, s, "DS-01 DS-02 DS-03 BD-02 BD-03 FR-02 FR-06 ST-02 ST-03 ST-05 TU-02",
		"BD-04 BD-05 ST-04",
	)
	if first := domaintest.Consumed(
		t, domaintest.Grand(), s, findings, "ST-02", "rest pins, first size",
	); !first.IsPositive() {
		t.Error("no rest pins of the first size for the new plank")
	}
	if up := domaintest.Consumed(
		t, domaintest.Grand(), s, findings, "ST-02", "rest pins, one size up",
	); !up.IsZero() {
		t.Errorf("%s pins of a size up for a new plank", up)
	}
}

func TestARestringOnTheOldPlankTakesLargerPins(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{domaintest.Number("SV-16", "3", "")}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	wantLines(t, s, "DS-02 BD-04 ST-02", "BD-02 BD-03 DS-03")
	// 227 strings, one pin each and 2 % spare.
	if up := domaintest.Consumed(
		t, domaintest.Grand(), s, findings, "ST-02", "rest pins, one size up",
	); !up.Equal(domaintest.Dec("232")) {
		t.Errorf("%s pins of a size up, want 232", up)
	}
}

func TestLargerPinsAreRefusedWhereNoSizeIsLeft(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{
		domaintest.Number("SV-16", "3", ""), domaintest.Number("SV-13", "7.4", ""),
	}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	wantLines(t, s, "BD-02 BD-03 DS-03", "BD-04")

	c := domaintest.Shipped(t)
	_, err := scope.Draw(
		c, domaintest.Grand(), domaintest.Judged(t, c, domaintest.Grand(), findings),
		catalogue.Restore, []scope.Edit{domaintest.Choose("PLANK", "keep_oversize")},
		domaintest.Odds,
	)
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Conflict ||
		!strings.Contains(fault.Detail, "7.4 mm") {
		t.Errorf("got %v, want a conflict that names 7.4 mm", err)
	}
}

func TestThePlankDoesNotGoOutForBigPinsAloneWhileStringsStay(t *testing.T) {
	t.Parallel()
	for _, depth := range catalogue.Depths {
		wantLines(
			t,
			domaintest.ScopeOf(
				t, domaintest.Grand(), depth,
				[]survey.Finding{domaintest.Number("SV-13", "7.4", "")},
			),
			"", "BD-02 BD-03 BD-04",
		)
	}
}

// Where moth leaves no felt to reface, flat rollers are still renewed on the shanks, and the
// centres freed: the hammers stay as they are until their own felt calls for new ones.
func TestMothInTheFeltsKeepsNoWorkFromRollersAndCentres(t *testing.T) {
	t.Parallel()
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		worn := []survey.Finding{
			domaintest.Number("SV-38", "2", ""), domaintest.Number("SV-41", "17", ""),
		}
		s := domaintest.ScopeOf(t, domaintest.Grand(), depth, worn)
		wantLines(t, s, "AC-02 AC-07", "AC-05 AC-06")
		worn = append(worn, domaintest.Number("SV-46", "20", ""))
		s = domaintest.ScopeOf(t, domaintest.Grand(), depth, worn)
		wantLines(t, s, "AC-01 AC-02 AC-07", "AC-05 AC-06")
	}
}

func TestNewHammersComeWithShanksAndRollersThenRegulationAndVoicing(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{domaintest.Number("SV-33", "13", "")}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	wantLines(t, s, "AC-06 RG-01 RG-02 VO-01 KY-06", "AC-05 AC-07")
	for _, material := range []string{"hammers to sample", "shanks with flanges and rollers"} {
		if got := domaintest.Consumed(
			t, domaintest.Grand(), s, findings, "AC-06", material,
		); !got.Equal(domaintest.Dec("88")) {
			t.Errorf("%s of %s, want 88", got, material)
		}
	}
}

func TestEightyFiveNotesTakeEightyFiveHammers(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	in.Notes = 85
	findings := []survey.Finding{
		domaintest.Number("SV-33", "13", ""), domaintest.Number("SV-01", "85", ""),
	}
	s := domaintest.ScopeOf(t, in, catalogue.Restore, findings)
	if got := domaintest.Consumed(
		t, in, s, findings, "AC-06", "hammers to sample",
	); !got.Equal(domaintest.Dec("85")) {
		t.Errorf("%s hammers, want 85", got)
	}
	// 4 + 0.17 × 85
	if got := lineOf(t, s, "AC-06"); !got.Quantity.Equal(domaintest.Dec("85")) ||
		!got.Hours.Likely.Equal(domaintest.Dec("18.45")) {
		t.Errorf("AC-06 counts %s in %s h, want 85 in 18.45", got.Quantity, got.Hours.Likely)
	}
}

func TestALongBlowAloneIsRegulatedAndCallsForNoHammers(t *testing.T) {
	t.Parallel()
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		wantLines(
			t,
			domaintest.ScopeOf(
				t, domaintest.Grand(), depth,
				[]survey.Finding{domaintest.Number("SV-03", "53", "mm")},
			),
			"RG-01", "AC-06",
		)
	}
}

func TestOldStringsStayOnWhileTheyAreCleanAndTrue(t *testing.T) {
	t.Parallel()
	wantLines(
		t,
		domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore,
			[]survey.Finding{domaintest.Number("SV-20", "90", "years")},
		),
		"ST-04", "ST-02 DS-02",
	)
	wantLines(
		t,
		domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore,
			[]survey.Finding{
				domaintest.Number("SV-20", "90", ""), domaintest.Number("SV-16", "2", ""),
			},
		),
		"ST-02 DS-02", "ST-04",
	)
}

func TestPoorSustainWithWornHammersCondemnsNoBoard(t *testing.T) {
	t.Parallel()
	dead := domaintest.Number("SV-24", "6", "s")
	wantLines(
		t,
		domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore,
			[]survey.Finding{dead, domaintest.Number("SV-34", "1.9", "")},
		),
		"AC-06", "BD-10",
	)
	wantLines(
		t, domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, []survey.Finding{dead}),
		"BD-10 DS-03 BD-12", "BD-07 BD-08",
	)
}

func TestPinsASizeUpTellOfAnEarlierRestringing(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	j := domaintest.Judged(
		t, c, domaintest.Grand(), []survey.Finding{domaintest.Number("SV-13", "7.25", "mm")},
	).Of("SV-13")
	if j.Severity != catalogue.Attention || !strings.Contains(j.Text, "restrung") {
		t.Errorf("got %s, %q", j.Severity, j.Text)
	}
}

func TestBlackStockIsSprayedAndAClientMayHaveShellac(t *testing.T) {
	t.Parallel()
	worn := []survey.Finding{domaintest.Number("SV-50", "3", "")}
	wantLines(
		t, domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, worn),
		"CS-01 CS-03 CS-05 CS-05L CS-06", "CS-07 CS-09",
	)

	heirloom := domaintest.Grand()
	heirloom.Owner, heirloom.Finish = instrument.Client, "shellac"
	wantLines(
		t, domaintest.ScopeOf(t, heirloom, catalogue.Restore, worn), "CS-07 CS-07L CS-08",
		"CS-05 CS-09",
	)

	chosen := domaintest.ScopeOf(
		t, domaintest.Grand(), catalogue.Restore, worn, domaintest.Choose("FINISH", "shellac"),
	)
	wantLines(t, chosen, "CS-07 CS-07L CS-08", "CS-05 CS-06 CS-09")
	if chosen.Settled["FINISH"] != "shellac" {
		t.Errorf("settled %v", chosen.Settled)
	}
}

func TestHandShellacCostsMoreHoursThanPolyester(t *testing.T) {
	t.Parallel()
	worn := []survey.Finding{domaintest.Number("SV-50", "3", "")}
	polyester := likelyHours(
		domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore, worn,
			domaintest.Choose("FINISH", "polyester"),
		),
	)
	shellac := likelyHours(
		domaintest.ScopeOf(
			t, domaintest.Grand(), catalogue.Restore, worn, domaintest.Choose("FINISH", "shellac"),
		),
	)
	if !shellac.GreaterThan(polyester) {
		t.Errorf("shellac takes %s h and polyester %s h", shellac, polyester)
	}
}

func likelyHours(s scope.Scope) decimal.Decimal {
	sum := decimal.Zero
	for _, l := range s.Lines {
		sum = sum.Add(l.Hours.Likely.Mul(l.Chance))
	}
	return sum
}

func TestADepthBringsItsOwnWork(t *testing.T) {
	t.Parallel()
	found := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.AsFound, nil)
	wantLines(t, found, "IN-01 IN-02 IN-03 TU-01 QC-01 QC-03", "DS-01 RG-01 ST-04 TU-02 TU-02A")
	recondition := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil)
	wantLines(t, recondition, "DS-01 KY-01 RG-01 ST-04 CS-09 CS-12 TU-03", "DS-02 TU-02")
	restore := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, nil)
	wantLines(t, restore, "AC-01 DA-02 RG-02 VO-01 QC-02 TU-02A", "DS-02 TU-02")
	a, b, c := likelyHours(found), likelyHours(recondition), likelyHours(restore)
	if !a.LessThan(b) || !b.LessThan(c) {
		t.Errorf("hours rise with the depth: got %s, %s, %s", a, b, c)
	}
}

// The parts of a converted action come complete, with hammers on their shanks: a set of hammers is
// bought where the old action stays, and not beside them.
// Keys that are recovered and fittings that are plated come off and go back, with hours for it. A
// piano that is left as found isn't stripped down for them; where it is stripped down for other
// work, or at any other depth, they are out already.
func TestKeysAndFittingsComeOffAndGoBackAtEveryDepth(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.SoundButUnknown(t, c, domaintest.Grand())
	for _, row := range []struct {
		depth     catalogue.Depth
		add       string
		want, not string
	}{
		{catalogue.AsFound, "KY-03", "KY-03 DS-04", "DS-01 CS-12"},
		{catalogue.AsFound, "CS-11", "CS-11 DS-04", "DS-01 CS-12"},
		{catalogue.AsFound, "KY-03 KY-05", "KY-03 KY-05 DS-01 CS-12", "DS-04"},
		{catalogue.AsFound, "CS-10", "CS-10", "DS-01 DS-04"},
		{catalogue.Recondition, "KY-03", "KY-03 DS-01 CS-12", "DS-04"},
		{catalogue.Restore, "CS-11", "CS-11 DS-01 CS-12", "DS-04"},
	} {
		var edits []scope.Edit
		for _, code := range strings.Fields(row.add) {
			edits = append(edits, scope.Edit{
				Kind: scope.AddOperation, Operation: catalogue.Code(code), Why: "asked for",
			})
		}
		s := domaintest.Draw(t, c, domaintest.Grand(), js, row.depth,
			domaintest.SameOdds("0.7", "0.2", "0.1"), edits...)
		t.Logf("%s with %s", row.depth, row.add)
		wantLines(t, s, row.want, row.not)
		for _, l := range s.Lines {
			if l.Operation == "DS-04" && !l.Hours.Likely.IsPositive() {
				t.Errorf("%s with %s: out and back in %s h", row.depth, row.add, l.Hours.Likely)
			}
		}
	}
}

func TestTheHammersOfAConvertedActionAreBoughtOnce(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	hammers := []string{"hammers to sample, bored and tailed", "shanks with flanges and rollers"}
	complete := []string{"action parts, complete"}
	for _, row := range []struct {
		name   string
		action string
		edits  []scope.Edit
		want   []string
	}{
		{"a tied action kept", "tied", nil, hammers},
		{
			"a tied action converted", "tied",
			[]scope.Edit{domaintest.Choose("WHIPPEN", "convert")},
			complete,
		},
		{"an action past service", "obsolete_failed", nil, complete},
		{
			"an action past service renewed as it was", "obsolete_failed",
			[]scope.Edit{domaintest.Choose("WHIPPEN", "rebuild")},
			hammers,
		},
	} {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			findings := []survey.Finding{
				domaintest.Answer("SV-02", row.action), domaintest.Number("SV-33", "13", ""),
			}
			s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings, row.edits...)
			js := domaintest.Judged(t, c, domaintest.Grand(), findings)
			lines, _, err := scope.PricingLines(c, domaintest.Grand(), js, s, domaintest.Terms(c))
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, l := range lines {
				for _, m := range l.Materials {
					if slices.Contains(hammers, m.Ref) || slices.Contains(complete, m.Ref) {
						got = append(got, m.Ref)
					}
				}
			}
			if !slices.Equal(got, row.want) {
				t.Errorf("bought %q, want %q", got, row.want)
			}
			if l := lineOf(t, s, "AC-06"); !l.Hours.Likely.IsPositive() {
				t.Errorf("%+v, want the hours of hanging the hammers", l)
			}
		})
	}
}
