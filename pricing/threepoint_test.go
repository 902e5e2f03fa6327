package pricing_test

import (
	"errors"
	"testing"

	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var (
	gbp = money.MustCurrency("GBP")
	jpy = money.MustCurrency("JPY")
	dec = decimal.RequireFromString
)

func pounds(text string) money.Amount { return money.MustParse(text + " GBP") }

func hours(low, likely, high string) pricing.Hours {
	return pricing.Hours{Low: dec(low), Likely: dec(likely), High: dec(high)}
}

func span(low, likely, high string) pricing.Range {
	return pricing.NewRange(pounds(low), pounds(likely), pounds(high))
}

func flatPremium(share decimal.Decimal, c money.Currency) []pricing.PremiumBand {
	return []pricing.PremiumBand{{From: money.Zero(c), Share: share}}
}

func evenSteps(step money.Amount) []pricing.BidStep {
	return []pricing.BidStep{{From: money.Zero(step.Currency()), Step: step}}
}

func TestRangesAddPointByPoint(t *testing.T) {
	t.Parallel()
	a, b := span("1.00", "2.00", "3.60"), span("0.10", "0.20", "0.30")
	want := span("1.10", "2.20", "3.90")
	if got := a.Add(b); got != want {
		t.Errorf("Add = %v, want %v", got, want)
	}
	if got, err := pricing.SumRanges(gbp, a, b); err != nil || got != want {
		t.Errorf("SumRanges = %v, %v; want %v", got, err, want)
	}
	if got, err := pricing.SumRanges(gbp); err != nil || got != pricing.ZeroRange(gbp) {
		t.Errorf("SumRanges of none = %v, %v", got, err)
	}
	var mismatch *money.MismatchError
	if _, err := pricing.SumRanges(jpy, a); !errors.As(err, &mismatch) {
		t.Errorf("SumRanges in another currency: %v", err)
	}
	var tooLarge *money.RangeError
	full := pricing.Certain(money.FromMinor(money.Limit, gbp))
	if _, err := pricing.SumRanges(
		gbp, full, pricing.Certain(pounds("0.01")),
	); !errors.As(err, &tooLarge) {
		t.Errorf("SumRanges above the limit: %v", err)
	}
}

func drawRange(t *rapid.T, label string, most int64) pricing.Range {
	low := rapid.Int64Range(0, most).Draw(t, label+" low")
	likely := rapid.Int64Range(low, most).Draw(t, label+" likely")
	high := rapid.Int64Range(likely, most).Draw(t, label+" high")
	return pricing.NewRange(
		money.FromMinor(low, gbp), money.FromMinor(likely, gbp), money.FromMinor(high, gbp),
	)
}
