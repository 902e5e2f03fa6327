package scope_test

import (
	"errors"
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

func TestAnEstimateCostsEachLineOfTheScopeButSurveyAndSale(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	findings := []survey.Finding{domaintest.Number("SV-33", "13", "")}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Restore, findings)
	e, err := scope.Estimate(
		c, domaintest.Grand(), domaintest.Judged(t, c, domaintest.Grand(), findings), s,
		domaintest.Terms(c),
	)
	if err != nil {
		t.Fatal(err)
	}
	var want, got []string
	hours := decimal.Zero
	for _, l := range s.Lines {
		if slices.Contains([]catalogue.Code{"IN-01", "DL-01", "DL-02"}, l.Operation) {
			continue
		}
		want = append(want, string(l.Operation))
		hours = hours.Add(l.Hours.Likely)
	}
	for _, l := range e.Lines {
		got = append(got, l.Ref)
	}
	if !slices.Equal(got, want) {
		t.Errorf("lines\n %v, want\n %v", got, want)
	}
	if !e.Hours.Likely.Equal(hours) {
		t.Errorf("%s likely hours, want %s", e.Hours.Likely, hours)
	}
	eur := e.Currency
	if labour, err := money.Round(hours.Mul(domaintest.Dec("30")), eur, money.HalfUp); err != nil ||
		e.Costs.Labour.Likely != labour {
		t.Errorf("labour %s, want %s (%v)", e.Costs.Labour.Likely, labour, err)
	}
	hammers := slices.IndexFunc(e.Lines, func(l pricing.CostedLine) bool { return l.Ref == "AC-06" })
	step := slices.IndexFunc(
		e.Lines[hammers].Steps,
		func(s pricing.Step) bool { return s.Ref == "hammers to sample, bored and tailed" },
	)
	if step < 0 || !e.Lines[hammers].Steps[step].Likely.Quantity.Equal(domaintest.Dec("88")) {
		t.Errorf("no 88 hammers among %+v", e.Lines[hammers].Steps)
	}
}

// An outside price holds at the baseline quantity and follows the likely hours at another one.
func TestWorkDoneOutsideCostsAPriceAndNoHours(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	findings := []survey.Finding{domaintest.Number("SV-39", "1.6", "mm")}
	js := domaintest.Judged(t, c, domaintest.Grand(), findings)
	outside := scope.Edit{Kind: scope.SetMaking, Operation: "KY-02", Making: catalogue.Outside}
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings, outside)
	if l := lineOf(t, s, "KY-02"); !l.Hours.High.IsZero() || l.Making != catalogue.Outside ||
		!l.Edited {
		t.Errorf("got %+v, want no hours of ours", l)
	}
	lines, _, err := scope.PricingLines(c, domaintest.Grand(), js, s, domaintest.Terms(c))
	if err != nil {
		t.Fatal(err)
	}
	keys := lines[slices.IndexFunc(lines, func(l pricing.Line) bool { return l.Ref == "KY-02" })]
	op := c.Operation("KY-02")
	price := op.Buying.Price[catalogue.Grand]
	if keys.Outside == nil || !keys.Hours.IsZero() || len(keys.Materials) != 0 ||
		!keys.Outside.Price.Likely.Decimal().Equal(price.Likely) ||
		!keys.Outside.Carriage.Decimal().Equal(op.Buying.Carriage.Likely) {
		t.Errorf(
			"got %+v, want the price %s and carriage %s alone", keys, price.Likely,
			op.Buying.Carriage.Likely,
		)
	}

	half := scope.Edit{
		Kind: scope.SetQuantity, Operation: "KY-02", Quantity: domaintest.Ptr(domaintest.Dec("44")),
	}
	s = domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, findings, outside, half)
	if lines, _, err = scope.PricingLines(
		c, domaintest.Grand(), js, s, domaintest.Terms(c),
	); err != nil {
		t.Fatal(err)
	}
	keys = lines[slices.IndexFunc(lines, func(l pricing.Line) bool { return l.Ref == "KY-02" })]
	h := op.Hours[catalogue.Grand]
	want := price.Likely.Mul(h.Setup.Add(h.Rate.Mul(domaintest.Dec("44")))).DivRound(
		h.Setup.Add(h.Rate.Mul(domaintest.Dec("88"))), 2,
	)
	if !keys.Outside.Price.Likely.Decimal().Equal(want) {
		t.Errorf("half the keys cost %s outside, want %s", keys.Outside.Price.Likely, want)
	}
}

func TestAnUnlikelyLineIsWeighedByItsChance(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	in := domaintest.Grand()
	js, err := survey.Judge(
		c, in.Kind,
		slices.DeleteFunc(
			domaintest.SoundSurvey(c, in.Kind),
			func(f survey.Finding) bool { return f.Point == "SV-39" },
		),
	)
	if err != nil {
		t.Fatal(err)
	}
	s, err := scope.Draw(c, in, js, catalogue.Recondition, nil, domaintest.Odds)
	if err != nil {
		t.Fatal(err)
	}
	e, err := scope.Estimate(c, in, js, s, domaintest.Terms(c))
	if err != nil {
		t.Fatal(err)
	}
	keys := e.Lines[slices.IndexFunc(e.Lines, func(l pricing.CostedLine) bool {
		return l.Ref == "KY-02"
	})]
	if want := lineOf(t, s, "KY-02").Hours.Likely.Mul(
		domaintest.Dec("0.5"),
	); !keys.Hours.Likely.Equal(want) || !keys.Hours.Low.IsZero() {
		t.Errorf("got %+v, want %s likely hours and none at the low end", keys.Hours, want)
	}
}

func TestAnEstimateIsRefusedWithoutRatesOrInAnotherCurrency(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	js := domaintest.Judged(t, c, domaintest.Grand(), nil)
	s := domaintest.ScopeOf(t, domaintest.Grand(), catalogue.Recondition, nil)
	for _, x := range []struct {
		name   string
		change func(*domain.Terms)
		kind   domain.FaultKind
	}{
		{
			"no rate for a skill", func(t *domain.Terms) { delete(t.LabourRates, "action") },
			domain.Invalid,
		},
		{
			"another currency than the catalogue's", func(t *domain.Terms) { t.Currency = "JPY" },
			domain.Conflict,
		},
		{"no currency", func(t *domain.Terms) { t.Currency = "crowns" }, domain.Invalid},
	} {
		terms := domaintest.Terms(c)
		x.change(&terms)
		_, err := scope.Estimate(c, domaintest.Grand(), js, s, terms)
		var fault *domain.Fault
		if !errors.As(err, &fault) || fault.Kind != x.kind {
			t.Errorf("%s: got %v, want %s", x.name, err, x.kind)
		}
	}
}
