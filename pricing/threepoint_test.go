package pricing_test

import (
	"errors"
	"testing"

	"bentside/domain/money"
	"bentside/pricing"

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
	return pricing.Range{Low: pounds(low), Likely: pounds(likely), High: pounds(high)}
}

// The single activity (4, 6, 7) and the critical activities of a solved PERT problem in Taylor, Management Science,
// whose means add up to 24.
func TestThreePointMean(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		h    pricing.Hours
		want string
	}{
		{hours("4", "6", "7"), "5.833333"},
		{hours("5", "8", "17"), "9"},
		{hours("3", "5", "7"), "5"},
		{hours("4", "6", "8"), "6"},
		{hours("3", "4", "5"), "4"},
		{hours("0.000003", "0", "0"), "0"},        // a tie at the seventh decimal goes to the even 0
		{hours("0.000009", "0", "0"), "0.000002"}, // 1.5 millionths go to the even 2
	} {
		if got := c.h.Mean(); !got.Equal(dec(c.want)) {
			t.Errorf("mean of %v = %v, want %s", c.h, got, c.want)
		}
	}
	if got, want := span("4.00", "6.00", "7.00").Mean(), pounds("5.83"); got != want {
		t.Errorf("mean of a range = %v, want %v", got, want)
	}
}

func TestRangesAddPointByPoint(t *testing.T) {
	t.Parallel()
	a, b := span("1.00", "2.00", "3.50"), span("0.10", "0.20", "0.30")
	want := span("1.10", "2.20", "3.80")
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
	if _, err := pricing.SumRanges(gbp, full, pricing.Certain(pounds("0.01"))); !errors.As(err, &tooLarge) {
		t.Errorf("SumRanges above the limit: %v", err)
	}
}

func TestMeanLiesInItsRange(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRange(t, "range", 1_000_000)
		if mean := r.Mean(); mean.Cmp(r.Low) < 0 || mean.Cmp(r.High) > 0 {
			t.Fatalf("mean %v of %v", mean, r)
		}
	})
}

func drawRange(t *rapid.T, label string, most int64) pricing.Range {
	low := rapid.Int64Range(0, most).Draw(t, label+" low")
	likely := rapid.Int64Range(low, most).Draw(t, label+" likely")
	high := rapid.Int64Range(likely, most).Draw(t, label+" high")
	return pricing.Range{
		Low: money.FromMinor(low, gbp), Likely: money.FromMinor(likely, gbp), High: money.FromMinor(high, gbp),
	}
}
