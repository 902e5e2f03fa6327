package domain_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// wantFaults wants faults at the pointers, the first of which says something.
func wantFaults(t *testing.T, err error, pointers []string, text string) {
	t.Helper()
	if got := pointersOf(err); !slices.Equal(got, pointers) ||
		!strings.Contains(domaintest.FaultOf(err).Fields[0].Detail, text) {
		t.Errorf("got %v, want faults at %q that say %q", err, pointers, text)
	}
}

// goodWorkshop returns a workshop whose settings are in order.
func goodWorkshop(t *testing.T) domain.Workshop {
	t.Helper()
	good := domain.Workshop{
		Name: "Fernwood Pianos", Zone: "Europe/Lisbon",
		Terms: domaintest.Terms(domaintest.Shipped(t)),
	}
	good.Terms.TaxRegime, good.Terms.BiddingStep = domain.MarginTax, domaintest.Dec("50")
	good.Terms.UnknownOdds = domain.OddsFromChance(domaintest.Dec("0.4"))
	good.Open.Week[1] = []domain.Interval{{From: 8 * 60, To: 12 * 60}}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	return good
}

func TestSettingsFinerThanTheyAreKeptAreRefused(t *testing.T) {
	t.Parallel()
	good := goodWorkshop(t)
	w := good
	w.Terms.TaxRate, w.Terms.LossLimit, w.Terms.WorkFinanced = domaintest.Dec("0.9999999"),
		domaintest.Dec("1"), domaintest.Dec("1.1")
	w.Terms.OverheadRate, w.Terms.BiddingStep = domaintest.Dec("12.00001"), domaintest.Dec("0.001")
	wantFaults(t, w.Check(), []string{
		"#/terms/tax_rate", "#/terms/loss_limit", "#/terms/work_financed", "#/terms/overhead_rate",
		"#/terms/bidding_step",
	}, "6 decimals")
	w = good
	w.Terms.TargetShare = domaintest.Dec("1")
	wantFaults(t, w.Check(), []string{"#/terms/target_share"}, "below 1")
	p := domain.Person{
		Name: "Rui", Skills: []string{"action"}, ProductiveShare: domaintest.Dec("0.0000001"),
	}
	wantFaults(t, p.Check(), []string{"#/productive_share"}, "6 decimals")
	p.ProductiveShare = domaintest.Dec("0.049")
	wantFaults(t, p.Check(), []string{"#/productive_share"}, "at least 0.05")
	p.ProductiveShare = domaintest.Dec("0.05")
	if err := p.Check(); err != nil {
		t.Errorf("a twentieth of the hours at the bench: %v", err)
	}
}

func TestASkillThatNoWorkAsksForIsRefused(t *testing.T) {
	t.Parallel()
	const known = "survey, general, stringing, belly"
	p := domain.Person{
		Name: "Rui", Skills: []string{"action", "juggling"}, ProductiveShare: domaintest.Dec("0.7"),
	}
	wantFaults(t, p.Check(), []string{"#/skills/1"}, known)
	p.Skills = catalogue.Skills
	if err := p.Check(); err != nil {
		t.Errorf("somebody who can do all: %v", err)
	}
}

// The code of the United Kingdom in ISO 3166-1 is GB.
func TestACountryIsNamedByItsCode(t *testing.T) {
	t.Parallel()
	for code, ok := range map[string]bool{
		"": true, "GB": true, "AT": true, "UK": false, "gb": false, "Austria": false,
	} {
		var f domain.Faults
		domain.CheckCountry(&f, "#/country", code)
		if (f.Err() == nil) != ok {
			t.Errorf("%q: %v", code, f.Err())
		}
	}
}
