package catalogue_test

import (
	"errors"
	"slices"
	"testing"

	"bentside/domain/catalogue"

	"pgregory.net/rapid"
)

func TestConditionsHoldAsTheLanguageSays(t *testing.T) {
	t.Parallel()
	s := scene{
		depth: catalogue.Restore,
		findings: findings{
			"SV-11": "attention low", "SV-13": "must_act high", "SV-15": "unknown",
			"SV-42": "=ivory",
		},
		in: []string{"ST-02", "PLANK=replace"},
		facts: catalogue.Facts{
			Kind: catalogue.Grand, Owner: "stock", Finish: "shellac", Colour: "black", Covering: "ivory",
			Action: "tied", Decorated: true, Year: 1910,
		},
	}
	rows := []struct {
		condition string
		want      bool
	}{
		{"", true},
		{"always", true},
		{"!always", false},
		{"SV-13:must_act", true},
		{"SV-13:attention", false},
		{"SV-13>=attention", true},
		{"SV-11>=must_act", false},
		{"SV-11>=sound", true},
		{"SV-15:unknown", true},
		{"SV-15>=sound", false}, // unknown is never counted as sound
		{"SV-15:sound", false},
		{"!SV-15:sound", true},
		{"SV-11:low", true},
		{"SV-11:high", false},
		{"SV-42=ivory", true},
		{"SV-42=plastic", false},
		{"op:ST-02", true},
		{"op:ST-03", false},
		{"option:PLANK=replace", true},
		{"option:PLANK=stopgap", false},
		{"option:STRING=restring", false},
		{
			"depth:restore;kind:grand;owner:stock;finish:shellac;colour:black;covering:ivory;action:tied;decorated:yes",
			true,
		},
		{"decorated:no", false},
		{"year<1975", true},
		{"year<1910", false},
		{"year>=1910", true},
		{"year>=1911", false},
		{"op:ST-03|SV-13:must_act;!depth:as_found", true},
		{"op:ST-03|SV-13:sound;!depth:as_found", false},
		{"op:ST-02;depth:as_found", false},
		{" op:ST-03 | op:ST-02 ; !owner:client ", true},
	}
	for _, row := range rows {
		e, err := catalogue.ParseCondition(row.condition)
		if err != nil {
			t.Errorf("%q: %v", row.condition, err)
			continue
		}
		if got := e.Holds(s.held()); got != row.want {
			t.Errorf("%q holds: got %v, want %v", row.condition, got, row.want)
		}
	}
}

func TestNothingIsKnownOfEmptyFacts(t *testing.T) {
	t.Parallel()
	for _, condition := range []string{
		"SV-13:unknown", "SV-13>=sound", "SV-13:low", "SV-42=ivory", "op:ST-02", "option:PLANK=replace",
		"depth:restore", "kind:grand", "owner:stock", "finish:shellac", "year<1975", "year>=1975",
		"decorated:yes",
	} {
		e, err := catalogue.ParseCondition(condition)
		if err != nil {
			t.Fatal(err)
		}
		if e.Holds(catalogue.Facts{}) {
			t.Errorf("%q holds of nothing", condition)
		}
	}
}

func TestTermsOutsideTheLanguageAreNamed(t *testing.T) {
	t.Parallel()
	for _, row := range []struct{ condition, term string }{
		{"SV-13:must", "SV-13:must"},
		{"SV-13>=unknown", "SV-13>=unknown"},
		{"op:ST-02;;op:ST-03", ""},
		{"op:ST-02|", ""},
		{"!", "!"},
		{"!!always", "!!always"},
		{"op:st-02", "op:st-02"},
		{"op:", "op:"},
		{"option:PLANK", "option:PLANK"},
		{"option:=replace", "option:=replace"},
		{"depth:halfway", "depth:halfway"},
		{"kind:square", "kind:square"},
		{"owner:mine", "owner:mine"},
		{"decorated:perhaps", "decorated:perhaps"},
		{"year<75", "year<75"},
		{"year<+975", "year<+975"},
		{"year>1975", "year>1975"},
		{"SV-42=", "SV-42="},
		{"colour:Black", "colour:Black"},
		{"whatever", "whatever"},
	} {
		_, err := catalogue.ParseCondition(row.condition)
		var wrong *catalogue.ConditionError
		if !errors.As(err, &wrong) {
			t.Errorf("%q: got %v, want a ConditionError", row.condition, err)
		} else if wrong.Term != row.term || wrong.Why == "" {
			t.Errorf("%q: blames %q (%s), want %q", row.condition, wrong.Term, wrong.Why, row.term)
		}
	}
}

func TestAConditionNamesTheFindingsItRestsOn(t *testing.T) {
	t.Parallel()
	e, err := catalogue.ParseCondition(
		"SV-16>=attention|SV-18>=attention|op:ST-02;!SV-24:sound;SV-18:high|SV-42=ivory",
	)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := e.Points(), []catalogue.PointCode{
		"SV-16", "SV-18", "SV-42",
	}; !slices.Equal(got, want) {
		t.Errorf("points: got %v, want %v", got, want)
	}
	s := scene{findings: findings{"SV-18": "attention high", "SV-24": "unknown"}}
	if got, want := e.Evidence(s.held()), []catalogue.PointCode{"SV-18"}; !slices.Equal(got, want) {
		t.Errorf("evidence: got %v, want %v", got, want)
	}
}

// A denied term says the opposite of the bare one, whatever the facts.
func TestDenialIsTheOpposite(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	var terms []string
	for _, r := range c.Rules {
		if e := c.Expr(r.When); len(e.Points()) == 1 {
			terms = append(terms, string(e.Points()[0])+">=attention", string(e.Points()[0])+":unknown")
		}
	}
	severities := []string{"unknown", "sound", "attention", "must_act"}
	rapid.Check(t, func(t *rapid.T) {
		term := rapid.SampledFrom(terms).Draw(t, "term")
		s := scene{findings: findings{}}
		for _, p := range c.Points {
			s.findings[p.Code] = rapid.SampledFrom(severities).Draw(t, string(p.Code))
		}
		bare, denied := c.Expr(catalogue.Condition(term)), c.Expr(catalogue.Condition("!"+term))
		if bare.Holds(s.held()) == denied.Holds(s.held()) {
			t.Errorf("%s and its denial agree", term)
		}
	})
}

func FuzzParseCondition(f *testing.F) {
	c := shipped(f)
	for _, r := range c.Rules {
		f.Add(string(r.When))
	}
	f.Add("!year<1975|SV-13:low;always")
	f.Fuzz(func(t *testing.T, s string) {
		e, err := catalogue.ParseCondition(s)
		if err != nil {
			return
		}
		written := e.String()
		again, err := catalogue.ParseCondition(written)
		if err != nil {
			t.Fatalf("%q is written as %q, which can't be read: %v", s, written, err)
		}
		if again.String() != written {
			t.Fatalf("%q is written as %q, then as %q", s, written, again.String())
		}
		facts := scene{findings: findings{"SV-13": "must_act high"}, in: []string{"ST-02"}}.held()
		if e.Holds(facts) != again.Holds(facts) {
			t.Fatalf("%q and %q differ", s, written)
		}
	})
}
