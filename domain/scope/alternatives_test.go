package scope_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// plankInputs returns what a grand in the plank shop is drawn from.
func plankInputs(t testing.TB, findings []survey.Finding, edits ...scope.Edit) scope.Inputs {
	t.Helper()
	c := plankShop()
	js, err := survey.Judge(c, catalogue.Grand, findings)
	if err != nil {
		t.Fatal(err)
	}
	terms := domaintest.Terms(c)
	terms.UnknownOdds = domaintest.Odds
	return scope.Inputs{
		Catalogue: c, Instrument: instrument.Instrument{Kind: catalogue.Grand}, Judgements: js,
		Depth: catalogue.Restore, Edits: edits, Terms: terms,
	}
}

// A choice is as it is for the work that needs it so, else the finding, else the buyer; and where
// what was called for can't be done, for that too.
func TestASettledChoiceSaysWhy(t *testing.T) {
	t.Parallel()
	choose := domaintest.Choose("PLANK", "replace")
	choose.Why = "two sizes up already"
	manyBroken := domaintest.Number("SV-17", "9", "")
	split := domaintest.Number("SV-15", "4", "")
	for _, row := range []struct {
		name        string
		given       []survey.Finding
		edits       []scope.Edit
		group       string
		rule        string
		from        catalogue.Code
		texts, lack []string
	}{
		{name: "the depth", group: "STRING", rule: "keep-strings", texts: []string{"by keep-strings"}},
		{name: "a choice that doesn't come up", group: "PLANK"},
		{name: "a choice that the catalogue doesn't have", group: "PEDALS"},
		{
			name: "a finding before the depth", given: []survey.Finding{manyBroken}, group: "STRING",
			rule: "restring", texts: []string{"by restring"},
		},
		{
			name: "the finding itself before what its own work brings", given: []survey.Finding{split},
			group: "PLANK", rule: "split", texts: []string{"by split"}, lack: []string{"size-up"},
		},
		{
			name: "other work that needs it", given: []survey.Finding{split}, group: "STRING",
			from:  "DS-03",
			texts: []string{"the frame comes out only without strings"},
		},
		{
			name: "the buyer before every finding", given: []survey.Finding{manyBroken},
			edits: []scope.Edit{choose}, group: "PLANK", rule: "buyer", texts: []string{choose.Why},
		},
	} {
		s := draw(t, catalogue.Restore, sound(row.given...), row.edits...)
		got := s.WhySettled(row.group)
		if got.From != row.from || row.from == "" && got.Rule != row.rule {
			t.Errorf("%s: rule %q of %q, want %q of %q", row.name, got.Rule, got.From, row.rule, row.from)
		}
		if len(row.texts) == 0 && got.Text != "" {
			t.Errorf("%s: %q", row.name, got.Text)
		}
		for _, text := range row.texts {
			if !strings.Contains(got.Text, text) {
				t.Errorf("%s: %q doesn't tell of %q", row.name, got.Text, text)
			}
		}
		for _, text := range row.lack {
			if strings.Contains(got.Text, text) {
				t.Errorf("%s: %q tells of %q", row.name, got.Text, text)
			}
		}
	}
}

func TestAScopeThatWasReadDoesNotSayWhyItsChoicesAreSettled(t *testing.T) {
	t.Parallel()
	drawn := draw(t, catalogue.Restore, sound())
	document, err := json.Marshal(drawn)
	if err != nil {
		t.Fatal(err)
	}
	var read scope.Scope
	if err := json.Unmarshal(document, &read); err != nil {
		t.Fatal(err)
	}
	if drawn.WhySettled("STRING").Text == "" || read.WhySettled("STRING").Text != "" {
		t.Errorf("drawn %+v, read %+v", drawn.WhySettled("STRING"), read.WhySettled("STRING"))
	}
}

// Where the option called for can't be done, the one in its place stands for what called for it,
// and for what rules it out.
func TestAnOptionInPlaceOfARefusedOneSaysWhatRulesThatOut(t *testing.T) {
	t.Parallel()
	in := plankInputs(t, sound(
		domaintest.Number("SV-17", "9", ""), domaintest.Number("SV-13", "7.4", ""),
	))
	frame := &in.Catalogue.Companions[0]
	frame.Calls = calls("DS-03") // the plank comes drilled, so that its own work names no option
	s, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	got := s.WhySettled("PLANK")
	if s.Settled["PLANK"] != "replace" || got.Rule != "size-up" ||
		got.Text != "by size-up; keep_oversize is refused: no size left" {
		t.Errorf("%s because %+v", s.Settled["PLANK"], got)
	}
}

// What each option of the plank comes to beside strings that must be renewed.
func TestEachOptionIsTakenOrRefusedWithItsCause(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		option, size, refused, planned string
	}{
		{option: "stopgap", size: "7", refused: "no glue under new strings"},
		{option: "keep_oversize", size: "7", planned: "BD-04"},
		{option: "keep_oversize", size: "7.4", refused: "no size left"},
		{option: "replace", size: "7", planned: "BD-02 BD-03 DS-03 FR-06"},
		{option: "replace", size: "7.4", planned: "BD-02 BD-03 DS-03 FR-06"},
	} {
		in := plankInputs(t, sound(domaintest.Number("SV-17", "9", ""),
			domaintest.Number("SV-13", row.size, "")))
		s, err := in.DrawAdding()
		if err != nil {
			t.Fatal(err)
		}
		a, err := in.AlternativesTo(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Undone) > 0 {
			t.Errorf("pins of %s mm: the scope itself leaves %v", row.size, a.Undone)
		}
		taken, err := a.Taking("PLANK", row.option)
		if err != nil {
			t.Fatal(err)
		}
		if row.refused != "" {
			if taken.Refused == nil || !strings.Contains(taken.Refused.Text(), row.refused) ||
				len(taken.Scope.Lines) > 0 {
				t.Errorf("%s with pins of %s mm: %+v", row.option, row.size, taken)
			}
			continue
		}
		if taken.Refused != nil || taken.NeedsWhy || taken.Scope.Settled["PLANK"] != row.option {
			t.Errorf("%s with pins of %s mm: %v, %v", row.option, row.size, taken.Refused,
				taken.Scope.Settled)
		}
		wantLines(t, taken.Scope, row.planned, "")
	}
}

// A client who keeps a split plank is told that the finding stays undone.
func TestAnOptionTellsWhichFindingsItLeavesUndone(t *testing.T) {
	t.Parallel()
	in := plankInputs(t, sound(
		domaintest.Number("SV-17", "9", ""), domaintest.Number("SV-15", "4", ""),
	))
	s, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	a, err := in.AlternativesTo(s)
	if err != nil {
		t.Fatal(err)
	}
	tells := func(list []scope.Undone) bool {
		return slices.ContainsFunc(list, func(u scope.Undone) bool { return u.Point == "SV-15" })
	}
	for _, row := range []struct {
		option string
		undone bool
	}{{"keep_oversize", true}, {"replace", false}} {
		taken, err := a.Taking("PLANK", row.option)
		if err != nil || taken.Refused != nil {
			t.Fatal(err, taken.Refused)
		}
		if tells(taken.Undone) != row.undone || tells(a.Undone) {
			t.Errorf("%s leaves %v; the scope %v", row.option, taken.Undone, a.Undone)
		}
	}
}

// What an option has to do may be usual beside it and no more: then less takes a reason.
func TestLessThanOtherWorkUsuallyBringsTakesAReason(t *testing.T) {
	t.Parallel()
	in := plankInputs(t, sound(domaintest.Number("SV-17", "9", "")))
	c := in.Catalogue
	c.Companions = append(c.Companions, catalogue.Companion{
		ID: "wire-plank", When: "ST-02", Calls: calls("PLANK=replace"), Necessity: catalogue.Usual,
		Reason: "new wire deserves a new plank",
	})
	s, err := in.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	a, err := in.AlternativesTo(s)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		option   string
		needsWhy bool
	}{{"replace", false}, {"keep_oversize", true}} {
		taken, err := a.Taking("PLANK", row.option)
		if err != nil || taken.Refused != nil || taken.NeedsWhy != row.needsWhy ||
			taken.Scope.Settled["PLANK"] != row.option {
			t.Errorf("%s: %v, refused %v, needs why %v, settled %v", row.option, err, taken.Refused,
				taken.NeedsWhy, taken.Scope.Settled)
		}
	}
	if taken, err := a.Taking("PLANK", "glue"); domaintest.KindOf(err) != domain.Invalid {
		t.Errorf("%+v, %v", taken, err)
	}
}
