package scope_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// Ivory is repaired where there is ivory, carving cleaned where there is carving, and a roller
// action isn't replaced by a roller action: the record, or a look that says otherwise, decides.
func TestWorkOnWhatThePianoDoesNotHaveIsRefused(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		about   string
		change  func(*instrument.Instrument)
		found   []survey.Finding
		edit    scope.Edit
		refused string // empty: it is taken
		because string
	}{
		{
			"plastic keys on record", func(i *instrument.Instrument) { i.Covering = "plastic" }, nil,
			domaintest.Add("KY-04"), "KY-04 (Ivory naturals repaired and polished) can't be added",
			"covering: plastic",
		},
		{
			"plastic keys found", func(i *instrument.Instrument) { i.Covering = "ivory" },
			[]survey.Finding{domaintest.Answer("SV-42", "plastic")},
			domaintest.Choose("NATURALS", "ivory"),
			"found to be covered with something else", "SV-42",
		},
		{
			"ivory found", func(i *instrument.Instrument) { i.Covering, i.Owner = "plastic", instrument.Client },
			[]survey.Finding{domaintest.Answer("SV-42", "ivory")},
			domaintest.Add("KY-04"), "", "",
		},
		{
			"nobody knows the keys",
			func(i *instrument.Instrument) { i.Covering, i.Owner = "", instrument.Client }, nil,
			domaintest.Add("KY-04"), "", "",
		},
		{"a plain case", nil, nil, domaintest.Add("CS-04"), "without turned legs", "decorated: no"},
		{
			"a carved case", func(i *instrument.Instrument) { i.Decorated = true }, nil,
			domaintest.Add("CS-04"), "", "",
		},
		{
			"a roller action on record", func(i *instrument.Instrument) { i.Action = "roller" }, nil,
			domaintest.Add("AC-08"), "on record with a roller repetition", "action: roller",
		},
		{
			"a roller action found", nil,
			[]survey.Finding{domaintest.Answer("SV-02", "roller")},
			domaintest.Choose("WHIPPEN", "convert"), "found to have a roller repetition", "SV-02",
		},
		{
			"a tied action", func(i *instrument.Instrument) { i.Action = "tied" }, nil,
			domaintest.Add("AC-08"), "", "",
		},
	} {
		in := domaintest.Grand()
		if x.change != nil {
			x.change(&in)
		}
		c := domaintest.Shipped(t)
		js := domaintest.SoundButUnknown(t, c, in, "SV-42", "SV-02")
		if x.found != nil {
			js = domaintest.Judged(t, c, in, x.found)
		}
		_, err := scope.Draw(c, in, js, catalogue.Restore, []scope.Edit{x.edit}, domaintest.Odds)
		if x.refused == "" {
			if err != nil {
				t.Errorf("%s: %v", x.about, err)
			}
			continue
		}
		t.Log(x.about)
		wantRefusal(t, err, x.refused, x.because)
	}
}

// No hours, or none of the pieces, is leaving the work out: what other work needs takes a named
// person's word, and the rest is told among what was left out.
func TestNoHoursLeaveTheWorkOut(t *testing.T) {
	t.Parallel()
	none := scope.Edit{Kind: scope.SetHours, Operation: "RG-01", Hours: &catalogue.ThreePoint{}}
	nothing := scope.Edit{Kind: scope.SetQuantity, Operation: "RG-01", Quantity: &decimal.Decimal{}}
	for _, e := range []scope.Edit{none, nothing} {
		_, err := edited(t, catalogue.Recondition, nil, e)
		wantRefusal(t, err, "RG-01 (First regulation) can't be left out: KY-01", "needs RG-01")
	}
	some := scope.Edit{Kind: scope.SetHours, Operation: "RG-01", Hours: &catalogue.ThreePoint{
		Low: domaintest.Dec("1"), Likely: domaintest.Dec("1"), High: domaintest.Dec("2"),
	}}
	s, err := edited(t, catalogue.Recondition, nil, none, some)
	if err != nil {
		t.Fatal(err)
	}
	wantLines(t, s, "RG-01", "")
	alone := scope.Edit{Kind: scope.SetHours, Operation: "VO-01", Hours: &catalogue.ThreePoint{}}
	s, err = edited(t, catalogue.Recondition, nil, domaintest.Add("VO-01"), alone)
	if err != nil {
		t.Fatal(err)
	}
	wantLines(t, s, "", "VO-01")
	if slices.ContainsFunc(s.Idle, func(e scope.Edit) bool { return e.Operation == "VO-01" }) {
		t.Errorf("told as without effect: %+v", s.Idle)
	}
}

// A colour that nobody entered isn't black: the polish by hand that this brings says what it takes
// for granted.
func TestAnUnknownColourIsToldWhereItBringsWork(t *testing.T) {
	t.Parallel()
	in := domaintest.Grand()
	for colour, told := range map[string]bool{"": true, "walnut": false} {
		in.Colour, in.Finish = colour, "shellac"
		s := domaintest.ScopeOf(t, in, catalogue.Restore, []survey.Finding{wornCase})
		wantLines(t, s, "CS-07", "CS-05")
		i := slices.IndexFunc(s.Lines, func(l scope.Line) bool { return l.Operation == "CS-07" })
		got := slices.ContainsFunc(s.Lines[i].Reasons, func(r scope.Reason) bool {
			return strings.HasSuffix(r.Text, "(taken for granted, since not on record: colour)")
		})
		if got != told {
			t.Errorf("colour %q: %+v", colour, s.Lines[i].Reasons)
		}
	}
}
