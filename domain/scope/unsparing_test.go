package scope_test

import (
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// dopeShop returns a plank shop that glues slack pins only where the plank is whole, so that a
// split plank spares the glue.
func dopeShop() *catalogue.Catalogue {
	c := plankShop()
	for i := range c.Rules {
		if c.Rules[i].ID == "slack-kept" {
			c.Rules[i].When = "SV-11:attention;SV-11:low;!SV-15>=attention;!option:STRING=restring"
		}
	}
	c.Choices[1].Options[0].Refused = "SV-15>=attention"
	c.Choices[1].Options[0].RefusedWhy = "glue doesn't hold a split plank"
	return c
}

// The least that a price counts with: what would be done if a bad finding spared no work. Glue for
// slack pins is counted, though a split plank at this depth takes none, and whether they want it or
// are worse, as nobody knows of pins that nobody turned: 0.3 + 0.1. Work that a finding calls
// for is counted in any case.
func TestNoBadFindingSparesWork(t *testing.T) {
	t.Parallel()
	slack := domaintest.Number("SV-11", "5", "N.m")
	for _, row := range []struct {
		name        string
		given       []survey.Finding
		drawn, want string // want is empty where nothing is spared
	}{
		{"a sound piano", nil, "IN-01 ST-04 TU-01", ""},
		{"slack pins in a whole plank", []survey.Finding{slack}, "IN-01 BD-05 ST-04 TU-01", ""},
		{
			"slack pins in a split plank",
			[]survey.Finding{slack, domaintest.Number("SV-15", "4", "")},
			"IN-01 ST-04 TU-01", "IN-01 BD-05 ST-04 TU-01",
		},
		{
			"a split plank with good pins",
			[]survey.Finding{domaintest.Number("SV-15", "4", "")},
			"IN-01 ST-04 TU-01", "",
		},
		{
			"pins too tight, which no rule answers",
			[]survey.Finding{domaintest.Number("SV-11", "31", "N.m")},
			"IN-01 ST-04 TU-01", "IN-01 BD-05@0.4 ST-04 TU-01",
		},
	} {
		c, in := dopeShop(), instrument.Instrument{Kind: catalogue.Grand}
		js, err := survey.Judge(c, in.Kind, sound(row.given...))
		if err != nil {
			t.Fatal(err)
		}
		odds := domaintest.SameOdds("0.6", "0.3", "0.1")
		drawn := domaintest.Draw(t, c, in, js, catalogue.Recondition, odds)
		if got := lines(drawn); got != row.drawn {
			t.Errorf("%s: drawn %s, want %s", row.name, got, row.drawn)
		}
		s, spares, err := scope.DrawUnsparing(c, in, js, catalogue.Recondition, nil, odds)
		if err != nil {
			t.Fatal(err)
		}
		if got := lines(s); got != row.want || spares != (row.want != "") {
			t.Errorf("%s: unsparing %s, %v; want %s", row.name, got, spares, row.want)
		}
	}
}
