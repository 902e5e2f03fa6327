package domain_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// The trade facts in this file are common practice, no source, unless said.

func shipped(t testing.TB) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// soundSurvey is a finding for each point of the kind, nothing wrong anywhere,
// with the given ones in the place of their points.
func soundSurvey(c *catalogue.Catalogue, kind catalogue.Kind, given ...domain.Finding) []domain.Finding {
	var all []domain.Finding
	for i := range c.Points {
		p := &c.Points[i]
		if !slices.Contains(p.Kinds, kind) || slices.ContainsFunc(given, func(f domain.Finding) bool { return f.Point == p.Code }) {
			continue
		}
		all = append(all, soundFinding(p))
	}
	return append(all, given...)
}

// soundFinding is a finding of a point with nothing wrong.
func soundFinding(p *catalogue.Point) domain.Finding {
	f := domain.Finding{Point: p.Code}
	switch p.Type {
	case catalogue.Flag:
		f.Flag = ptr(false)
	case catalogue.Pick:
		i := slices.IndexFunc(p.Answers, func(a catalogue.Answer) bool { return a.Severity == catalogue.Sound })
		f.Answer = p.Answers[i].Name
	case catalogue.Text:
		f.Note = "recorded"
	default:
		low, high := p.Limits.AbsurdMin, p.Limits.AbsurdMax
		if p.Limits.AcceptMin != nil {
			low = *p.Limits.AcceptMin
		}
		if p.Limits.AcceptMax != nil {
			high = *p.Limits.AcceptMax
		}
		f.Value = ptr(low.Add(high).Div(dec("2")).Floor())
		if f.Value.LessThan(low) || p.Code == "SV-01" { // a full compass
			f.Value = &high
		}
	}
	return f
}

// grand is a black stock grand of 1.85 m, the baseline instrument.
func grand() domain.Instrument {
	return domain.Instrument{Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Owner: domain.Stock, Colour: "black", Finish: "polyester"}
}

// scopeOf draws the scope of an instrument from the shipped catalogue, all
// points sound but the given findings.
func scopeOf(t testing.TB, in domain.Instrument, depth catalogue.Depth, findings []domain.Finding, edits ...domain.Edit) domain.Scope {
	t.Helper()
	c := shipped(t)
	s, err := domain.Draw(c, in, judged(t, c, in, findings), depth, edits, odds)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func judged(t testing.TB, c *catalogue.Catalogue, in domain.Instrument, findings []domain.Finding) domain.Judgements {
	t.Helper()
	js, err := domain.Judge(c, in.Kind, soundSurvey(c, in.Kind, findings...))
	if err != nil {
		t.Fatal(err)
	}
	return js
}

func has(s domain.Scope, code string) bool {
	return slices.ContainsFunc(s.Lines, func(l domain.Line) bool { return l.Operation == catalogue.Code(code) })
}

func wantLines(t *testing.T, s domain.Scope, want, not string) {
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

// consumed is how much of a material an operation uses up; nothing where it
// uses none.
func consumed(t testing.TB, in domain.Instrument, s domain.Scope, findings []domain.Finding, code, material string) decimal.Decimal {
	t.Helper()
	c := shipped(t)
	for _, m := range domain.ConsumptionOf(c, in, judged(t, c, in, findings), s) {
		if m.Operation == catalogue.Code(code) && strings.HasPrefix(m.Name, material) {
			return m.Quantity
		}
	}
	return decimal.Zero
}

func TestANewPlankTakesStringsOffFrameOutAndInAndPinsOfTheFirstSize(t *testing.T) {
	t.Parallel()
	findings := []domain.Finding{number("SV-15", "4", "")}
	s := scopeOf(t, grand(), catalogue.Restore, findings)
	wantLines(t, s, "DS-01 DS-02 DS-03 BD-02 BD-03 FR-02 FR-06 ST-02 ST-03 ST-05 TU-02", "BD-04 BD-05 ST-04")
	if first := consumed(t, grand(), s, findings, "ST-02", "rest pins, first size"); !first.IsPositive() {
		t.Error("no rest pins of the first size for the new plank")
	}
	if up := consumed(t, grand(), s, findings, "ST-02", "rest pins, one size up"); !up.IsZero() {
		t.Errorf("%s pins of a size up for a new plank", up)
	}
}

func TestARestringOnTheOldPlankTakesLargerPins(t *testing.T) {
	t.Parallel()
	findings := []domain.Finding{number("SV-16", "3", "")}
	s := scopeOf(t, grand(), catalogue.Restore, findings)
	wantLines(t, s, "DS-02 BD-04 ST-02", "BD-02 BD-03 DS-03")
	// 227 strings, one pin each and 2 % spare.
	if up := consumed(t, grand(), s, findings, "ST-02", "rest pins, one size up"); !up.Equal(dec("232")) {
		t.Errorf("%s pins of a size up, want 232", up)
	}
}

func TestLargerPinsAreRefusedWhereNoSizeIsLeft(t *testing.T) {
	t.Parallel()
	findings := []domain.Finding{number("SV-16", "3", ""), number("SV-13", "7.4", "")}
	s := scopeOf(t, grand(), catalogue.Restore, findings)
	wantLines(t, s, "BD-02 BD-03 DS-03", "BD-04")

	c := shipped(t)
	_, err := domain.Draw(c, grand(), judged(t, c, grand(), findings), catalogue.Restore, []domain.Edit{choose("PLANK", "keep_oversize")}, odds)
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Conflict || !strings.Contains(fault.Detail, "7.4 mm") {
		t.Errorf("got %v, want a conflict that names 7.4 mm", err)
	}
}

func TestThePlankDoesNotGoOutForBigPinsAloneWhileStringsStay(t *testing.T) {
	t.Parallel()
	for _, depth := range catalogue.Depths {
		wantLines(t, scopeOf(t, grand(), depth, []domain.Finding{number("SV-13", "7.4", "")}), "", "BD-02 BD-03 BD-04")
	}
}

func TestNewHammersComeWithShanksAndRollersThenRegulationAndVoicing(t *testing.T) {
	t.Parallel()
	findings := []domain.Finding{number("SV-33", "13", "")}
	s := scopeOf(t, grand(), catalogue.Restore, findings)
	wantLines(t, s, "AC-06 RG-01 RG-02 VO-01 KY-06", "AC-05 AC-07")
	for _, material := range []string{"hammers to sample", "shanks with flanges and rollers"} {
		if got := consumed(t, grand(), s, findings, "AC-06", material); !got.Equal(dec("88")) {
			t.Errorf("%s of %s, want 88", got, material)
		}
	}
}

func TestEightyFiveNotesTakeEightyFiveHammers(t *testing.T) {
	t.Parallel()
	in := grand()
	in.Notes = 85
	findings := []domain.Finding{number("SV-33", "13", ""), number("SV-01", "85", "")}
	s := scopeOf(t, in, catalogue.Restore, findings)
	if got := consumed(t, in, s, findings, "AC-06", "hammers to sample"); !got.Equal(dec("85")) {
		t.Errorf("%s hammers, want 85", got)
	}
	if got := lineOf(t, s, "AC-06"); !got.Quantity.Equal(dec("85")) || !got.Hours.Likely.Equal(dec("18.45")) { // 4 + 0.17 × 85
		t.Errorf("AC-06 counts %s in %s h, want 85 in 18.45", got.Quantity, got.Hours.Likely)
	}
}

func TestALongBlowAloneIsRegulatedAndCallsForNoHammers(t *testing.T) {
	t.Parallel()
	for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
		wantLines(t, scopeOf(t, grand(), depth, []domain.Finding{number("SV-03", "53", "mm")}), "RG-01", "AC-06")
	}
}

func TestOldStringsStayOnWhileTheyAreCleanAndTrue(t *testing.T) {
	t.Parallel()
	wantLines(t, scopeOf(t, grand(), catalogue.Restore, []domain.Finding{number("SV-20", "90", "years")}), "ST-04", "ST-02 DS-02")
	wantLines(t, scopeOf(t, grand(), catalogue.Restore, []domain.Finding{number("SV-20", "90", ""), number("SV-16", "2", "")}), "ST-02 DS-02", "ST-04")
}

func TestPoorSustainWithWornHammersCondemnsNoBoard(t *testing.T) {
	t.Parallel()
	dead := number("SV-24", "6", "s")
	wantLines(t, scopeOf(t, grand(), catalogue.Restore, []domain.Finding{dead, number("SV-34", "1.9", "")}), "AC-06", "BD-10")
	wantLines(t, scopeOf(t, grand(), catalogue.Restore, []domain.Finding{dead}), "BD-10 DS-03 BD-12", "BD-07 BD-08")
}

func TestPinsASizeUpTellOfAnEarlierRestringing(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	j := judged(t, c, grand(), []domain.Finding{number("SV-13", "7.25", "mm")}).Of("SV-13")
	if j.Severity != catalogue.Attention || !strings.Contains(j.Says, "restrung") {
		t.Errorf("got %s, %q", j.Severity, j.Says)
	}
}

func TestBlackStockIsSprayedAndAClientMayHaveShellac(t *testing.T) {
	t.Parallel()
	worn := []domain.Finding{number("SV-50", "3", "")}
	wantLines(t, scopeOf(t, grand(), catalogue.Restore, worn), "CS-01 CS-03 CS-05 CS-05L CS-06", "CS-07 CS-09")

	heirloom := grand()
	heirloom.Owner, heirloom.Finish = domain.Client, "shellac"
	wantLines(t, scopeOf(t, heirloom, catalogue.Restore, worn), "CS-07 CS-07L CS-08", "CS-05 CS-09")

	chosen := scopeOf(t, grand(), catalogue.Restore, worn, choose("FINISH", "shellac"))
	wantLines(t, chosen, "CS-07 CS-07L CS-08", "CS-05 CS-06 CS-09")
	if chosen.Settled["FINISH"] != "shellac" {
		t.Errorf("settled %v", chosen.Settled)
	}
}

func TestHandShellacCostsMoreHoursThanPolyester(t *testing.T) {
	t.Parallel()
	worn := []domain.Finding{number("SV-50", "3", "")}
	polyester := likelyHours(scopeOf(t, grand(), catalogue.Restore, worn, choose("FINISH", "polyester")))
	shellac := likelyHours(scopeOf(t, grand(), catalogue.Restore, worn, choose("FINISH", "shellac")))
	if !shellac.GreaterThan(polyester) {
		t.Errorf("shellac takes %s h and polyester %s h", shellac, polyester)
	}
}

func likelyHours(s domain.Scope) decimal.Decimal {
	sum := decimal.Zero
	for _, l := range s.Lines {
		sum = sum.Add(l.Hours.Likely.Mul(l.Chance))
	}
	return sum
}

func TestADepthBringsItsOwnWork(t *testing.T) {
	t.Parallel()
	found := scopeOf(t, grand(), catalogue.AsFound, nil)
	wantLines(t, found, "IN-01 IN-02 IN-03 TU-01 QC-01 QC-03", "DS-01 RG-01 ST-04 TU-02 TU-02A")
	recondition := scopeOf(t, grand(), catalogue.Recondition, nil)
	wantLines(t, recondition, "DS-01 KY-01 RG-01 ST-04 CS-09 CS-12 TU-03", "DS-02 TU-02")
	restore := scopeOf(t, grand(), catalogue.Restore, nil)
	wantLines(t, restore, "AC-01 DA-02 RG-02 VO-01 QC-02 TU-02A", "DS-02 TU-02")
	a, b, c := likelyHours(found), likelyHours(recondition), likelyHours(restore)
	if !a.LessThan(b) || !b.LessThan(c) {
		t.Errorf("hours rise with the depth: got %s, %s, %s", a, b, c)
	}
}
