package caution_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// A firm may buy its stripper by the millilitre: the litres at hand are the same.
func TestAThousandMillilitresAreALitreOfSolvent(t *testing.T) {
	t.Parallel()
	s := scope.Scope{Lines: []scope.Line{{
		Operation: "CS-01L", Making: catalogue.InHouse, Chance: domaintest.Dec("1"),
		Driver: "m2 of case", Quantity: domaintest.Dec("10"),
	}}}
	stripper := func(change func(*catalogue.Material)) caution.Caution {
		c := domaintest.Shipped(t)
		own := catalogue.Catalogue{
			Points: c.Points, Operations: c.Operations, Choices: c.Choices,
			Materials: slices.Clone(c.Materials),
		}
		for i := range own.Materials {
			if m := &own.Materials[i]; m.Operation == "CS-01L" && m.Name == "stripper" {
				change(m)
			}
		}
		list := caution.CautionsOfJob(&own, domaintest.Grand(), nil, s, nil)
		return cautionOf(t, list, "solvent_permit")
	}
	litres := stripper(func(*catalogue.Material) {})
	millilitres := stripper(func(m *catalogue.Material) {
		m.Unit, m.PerDriver, m.Fixed = "ml", m.PerDriver.Shift(3), m.Fixed.Shift(3)
	})
	if !litres.Figure.Value.IsPositive() || !litres.Figure.Value.Equal(millilitres.Figure.Value) {
		t.Errorf("%s kg by the litre, %s by the millilitre", litres.Figure.Value, millilitres.Figure.Value)
	}
	// 0.375 l/m² on 10 m² with a tenth of waste is 4.1 l, at 0.9 kg/l 3.7 kg (from memory).
	if want := decimal.RequireFromString("3.7"); !litres.Figure.Value.Equal(want) ||
		!strings.HasPrefix(litres.Figure.Says, "4.1 l, all counted as solvent at 0.9 kg/l") {
		t.Errorf("got %s kg (%s), want %s", litres.Figure.Value, litres.Figure.Says, want)
	}
}

// "Found here" is said of what somebody found, attention or worse, and of nothing else.
func TestOnlyWhatWasFoundIsSaidToBeFound(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	lead := func(js survey.Judgements) string {
		return cautionOf(t, ofOperation(c, domaintest.Grand(), js, "CS-01"), "lead_paint").Says
	}
	raised := domaintest.Flag("SV-62", true)
	raised.Raise, raised.Note = catalogue.MustAct, "flaking all over"
	for name, x := range map[string]struct {
		findings []survey.Finding
		found    bool
	}{
		"attention": {[]survey.Finding{domaintest.Flag("SV-62", true)}, true},
		"must act":  {[]survey.Finding{raised}, true},
		"sound":     {[]survey.Finding{domaintest.Flag("SV-62", false)}, false},
	} {
		js := domaintest.Judged(t, c, domaintest.Grand(), x.findings)
		if got := lead(js); strings.Contains(got, "Found here") != x.found {
			t.Errorf("%s: %s", name, got)
		}
	}
	if got := lead(nil); strings.Contains(got, "Found here") {
		t.Errorf("nobody looked: %s", got)
	}
}

func TestASoundFrameIsNotCalledCrackedAtTheSale(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	of := func(cracked bool) []caution.Caution {
		js := domaintest.Judged(
			t, c, domaintest.Grand(), []survey.Finding{domaintest.Flag("SV-29", cracked)},
		)
		return caution.CautionsOfSale(c, domaintest.Grand(), js, domain.NoTax, nil)
	}
	isCrack := func(k caution.Caution) bool { return strings.Contains(k.Says, "frame is cracked") }
	if !slices.ContainsFunc(of(true), isCrack) {
		t.Error("a crack that the survey found isn't told, since no stop is on record")
	}
	if slices.ContainsFunc(of(false), isCrack) {
		t.Error("a sound frame is called cracked")
	}
}

func TestOnlyTheWorkOnAClientsPianoIsCharged(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	for owner, want := range map[instrument.Ownership]bool{
		instrument.Client: true, instrument.Stock: false, instrument.Offered: false,
	} {
		in := domaintest.Grand()
		in.Owner = owner
		says := cautionOf(t, caution.CautionsOfSale(c, in, nil, domain.MarginTax, nil), "tax").Says
		if strings.Contains(says, "only the work on it is charged") != want {
			t.Errorf("%s: %s", owner, says)
		}
	}
}
