package pricing_test

import (
	"errors"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"
)

func margin20() pricing.TaxRule {
	return pricing.TaxRule{Regime: pricing.MarginScheme, Rate: dec("0.20")}
}

// The first row is the example of gov.uk, VAT margin schemes; the others follow its rules (no
// negative margin, no offset between items) and the costing case S-1.
func TestTaxUnderTheMarginScheme(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, purchase, sale, due, base string
	}{
		{"bought at 1500, sold at 2000", "1500.00", "2000.00", "83.33", "500.00"},
		{"sold at a loss", "1500.00", "1400.00", "0.00", "0.00"},
		{
			"margin of 600 beside a loss of 300: first item", "1000.00", "1600.00", "100.00",
			"600.00",
		},
		{"margin of 600 beside a loss of 300: second item", "1300.00", "1000.00", "0.00", "0.00"},
		{"hammer 4000 and premium 800, sold at 9600", "4800.00", "9600.00", "800.00", "4800.00"},
	} {
		got, err := margin20().OnSale(pounds(c.sale), pounds(c.purchase))
		if err != nil || got.Due != pounds(c.due) || got.Base != pounds(c.base) {
			t.Errorf(
				"%s: due %v on %v, %v; want %s on %s", c.name, got.Due, got.Base, err, c.due,
				c.base,
			)
		}
		if got.Note != pricing.AskAdviser || got.Note == "" {
			t.Errorf("%s: the note to ask an adviser is missing", c.name)
		}
	}
}

// A purchase at 1500 with 400 of repairs, sold at 2000: the tax stays 83.33 and the sale less tax
// is 1916.67. Letting the repairs into the margin would give 16.67.
func TestWorkNeverLowersTheMargin(t *testing.T) {
	t.Parallel()
	bid := mustBid(
		t, pricing.BidInput{Sale: pounds("2000.00"), Tax: margin20(), Work: pounds("400.00")},
	)
	got, err := bid.ProfitAt(pounds("1500.00"))
	if err != nil {
		t.Fatal(err)
	}
	if got.Tax.Due != pounds("83.33") || got.Profit != pounds("16.67") {
		t.Errorf(
			"tax %v, profit %v; want 83.33 and 2000 - 83.33 - 1500 - 400 = 16.67", got.Tax.Due,
			got.Profit,
		)
	}
	if net := pounds("2000.00").Sub(got.Tax.Due); net != pounds("1916.67") {
		t.Errorf("sale less tax %v, want 1916.67", net)
	}
}

func TestOtherRegimes(t *testing.T) {
	t.Parallel()
	standard := pricing.TaxRule{Regime: pricing.StandardTax, Rate: dec("0.20")}
	got, err := standard.OnSale(pounds("9600.00"), pounds("9600.00"))
	if err != nil || got.Due != pounds("1600.00") || got.Base != pounds("9600.00") ||
		got.Note != pricing.AskAdviser {
		t.Errorf("standard: %+v, %v; want 1600.00 of the whole sale", got, err)
	}
	none := pricing.TaxRule{Regime: pricing.NoTax, Rate: dec("0.20")}
	got, err = none.OnSale(pounds("9600.00"), pounds("100.00"))
	if err != nil || !got.Due.IsZero() || !got.Base.IsZero() || got.Note != pricing.AskAdviser {
		t.Errorf("none: %+v, %v; want nothing", got, err)
	}
}

func TestTaxRefuses(t *testing.T) {
	t.Parallel()
	var bound *pricing.BoundError
	var negative *pricing.NegativeError
	var currency *pricing.CurrencyError
	for name, c := range map[string]struct {
		rule           pricing.TaxRule
		sale, purchase money.Amount
		want           any
	}{
		"no regime": {pricing.TaxRule{}, pounds("1.00"), pounds("1.00"), &bound},
		"rate above one": {
			pricing.TaxRule{Regime: pricing.StandardTax, Rate: dec("20")},
			pounds("1.00"),
			pounds("1.00"), &bound,
		},
		"negative sale":     {margin20(), pounds("-1.00"), pounds("1.00"), &negative},
		"negative purchase": {margin20(), pounds("1.00"), pounds("-1.00"), &negative},
		"two currencies":    {margin20(), pounds("1.00"), money.MustParse("1 JPY"), &currency},
		"no currency":       {margin20(), money.Amount{}, money.Amount{}, &currency},
		"beyond the bounds": {
			margin20(), money.FromMinor(pricing.BidLimit+1, gbp), pounds("1.00"), &bound,
		},
	} {
		if got, err := c.rule.OnSale(c.sale, c.purchase); err == nil || !errors.As(err, c.want) ||
			got.Note != "" {
			t.Errorf("%s: %+v, %v; want %T", name, got, err, c.want)
		}
	}
}
