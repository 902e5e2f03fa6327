package clearance_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

func TestNothingIsClearedWhereNothingStops(t *testing.T) {
	t.Parallel()
	f := domaintest.FaultOf(second(clearance.List{}.Clear(
		clearance.Clearance{Stop: "frame-cracked"}, domain.Owner, today)))
	if f == nil || len(f.Fields) != 1 ||
		f.Fields[0].Detail != `nothing stops the instrument, so "frame-cracked" can't be cleared` {
		t.Errorf("got %v", f)
	}
	f = domaintest.FaultOf(second(stops(t, found(t, crack(""))).Clear(
		clearance.Clearance{Stop: "ivory-register"}, domain.Owner, today)))
	if f == nil || !strings.Contains(f.Fields[0].Detail, "(frame-cracked), not \"ivory-register\"") {
		t.Errorf("a stop that this piano hasn't: %v", f)
	}
}

// A clearance is kept for ever, so its texts have an end: the most is accepted, one more is not.
func TestWhatAClearanceSaysHasAnEnd(t *testing.T) {
	t.Parallel()
	list := stops(t, found(t, crack("")))
	whole := clearance.Clearance{
		Stop: "frame-cracked", By: strings.Repeat("a", domain.MaxName),
		Says: strings.Repeat("b", domain.MaxText), Reference: strings.Repeat("c", domain.MaxName),
	}
	if _, err := list.Clear(whole, domain.Owner, today); err != nil {
		t.Errorf("the longest texts: %v", err)
	}
	for pointer, change := range map[string]func(*clearance.Clearance){
		"#/by":        func(c *clearance.Clearance) { c.By += "a" },
		"#/says":      func(c *clearance.Clearance) { c.Says += "b" },
		"#/reference": func(c *clearance.Clearance) { c.Reference += "c" },
	} {
		c := whole
		change(&c)
		f := domaintest.FaultOf(second(list.Clear(c, domain.Owner, today)))
		if f == nil || len(f.Fields) != 1 || f.Fields[0].Pointer != pointer {
			t.Errorf("%s: got %v", pointer, f)
		}
	}
}

func TestAClearanceReadsWithItsPapersIfThereAreAny(t *testing.T) {
	t.Parallel()
	c := clearance.Clearance{By: "Ada Fernwood", On: today, Says: "an idle web"}
	if got, want := c.Text(), "Cleared by Ada Fernwood on 2026-03-02: an idle web."; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	c.Reference, c.Dated = "REG-1", today
	if got := c.Text(); !strings.HasSuffix(got, "(REG-1 of 2026-03-02).") {
		t.Errorf("got %q", got)
	}
}

// Papers name a species. Another one that the next survey names needs papers of its own, although
// it is no worse.
func TestPapersForOneTimberDontCoverAnother(t *testing.T) {
	t.Parallel()
	r := found(t, domaintest.Answer("SV-61", "brazilian_rosewood"))
	r = cleared(t, r, papers("timber-certify", "A-77"))
	if s := stop(t, r, "timber-certify"); s.Clearance == nil {
		t.Fatalf("the papers aren't taken: %+v", s.Lapsed)
	}
	r.Surveys = surveyed(domaintest.Answer("SV-61", "siam_rosewood"))
	s := stop(t, r, "timber-certify")
	if s.Clearance != nil || s.Lapsed == nil ||
		!strings.Contains(s.Lapsed.Why, "says something else") {
		t.Errorf("another rosewood: clearance %+v, lapsed %+v", s.Clearance, s.Lapsed)
	}
}

func TestAStopNamesItsFindingWhatItBarsAndTheRepair(t *testing.T) {
	t.Parallel()
	r := found(t, crack(""))
	text := stop(t, r, "frame-cracked").Text()
	for _, want := range []string{"(SV-29 ", "this bars buying it, moving it, work on it until", "FR-01"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q doesn't say %q", text, want)
		}
	}
	// Ours already: buying it is no question any more.
	r.Instrument.Owner = instrument.Stock
	if text = stop(t, r, "frame-cracked").Text(); strings.Contains(text, "buying") ||
		!strings.Contains(text, "this bars moving it, work on it until") {
		t.Errorf("in stock: %q", text)
	}
	// Ivory on record, not looked at: there is no finding to quote, and no repair lifts the law.
	text = stop(t, ivoryGrand(t, 1904), "ivory-register").Text()
	if strings.Contains(text, "(SV-") || strings.Contains(text, "while the scope holds") {
		t.Errorf("ivory on record: %q", text)
	}
}

func TestWhatBarredNothingIsNotFreed(t *testing.T) {
	t.Parallel()
	r := found(t, crack(""))
	open := stops(t, r)
	closed := stops(t, cleared(t, r, clearance.Clearance{Stop: "frame-cracked"}))
	if got := ids(open.Freed(closed)); !slices.Equal(got, []string{"frame-cracked"}) {
		t.Errorf("cleared: freed %q, want the crack", got)
	}
	for name, list := range map[string]clearance.List{
		"from cleared to open": closed.Freed(open), "still open": open.Freed(open),
	} {
		if len(list) > 0 {
			t.Errorf("%s: freed %q", name, ids(list))
		}
	}
}

func TestWithoutAStopTheActIsPermitted(t *testing.T) {
	t.Parallel()
	list := stops(t, found(t, crack("")))
	if err := list.Permit("the piano can't be sold", catalogue.ToSell); err != nil {
		t.Errorf("a crack bars no sale: %v", err)
	}
	f := domaintest.FaultOf(list.Permit("the piano can't be bought", catalogue.ToBuy))
	if f == nil || f.Kind != domain.Conflict || len(f.Chain) != 1 ||
		f.Detail != "the piano can't be bought before what stops it is cleared" {
		t.Errorf("got %v", f)
	}
}

// A stop that rests on the record alone has no finding of its own: the survey's word stands.
func TestAStopByRecordKeepsTheSurveysJudgement(t *testing.T) {
	t.Parallel()
	s := stop(t, ivoryGrand(t, 1904), "ivory-register")
	if s.Finding.Severity != catalogue.Unknown || len(s.Where) > 0 {
		t.Errorf("got %+v at %q", s.Finding, s.Where)
	}
	two := found(t, crack("bass strut"), crack("hitch plate"))
	s = stop(t, two, "frame-cracked")
	if s.Finding.Readings != 2 || !slices.Equal(s.Where, []string{"bass strut", "hitch plate"}) {
		t.Errorf("two cracks: got %d readings at %q", s.Finding.Readings, s.Where)
	}
	var one []survey.Survey
	for _, where := range []string{"bass strut", "hitch plate"} {
		one = append(one, survey.Survey{Findings: []survey.Finding{crack(where)}})
	}
	two.Surveys = one
	if s = stop(t, two, "frame-cracked"); s.Finding.Readings != 2 {
		t.Errorf("by two surveys: got %d readings", s.Finding.Readings)
	}
}
