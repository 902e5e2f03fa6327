package pricing_test

import (
	"testing"

	"bentside/pricing"
)

// Six worked cases of the trade's offer rule, given by a practitioner on a technicians' list in
// February 2004.
func TestHalfUplift(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ finished, work, want string }{
		{"20000.00", "10000.00", "5000.00"},
		{"32000.00", "16000.00", "8000.00"},
		{"26000.00", "16000.00", "5000.00"},
		{"15000.00", "12000.00", "1500.00"},
		{"9500.00", "1200.00", "4150.00"},
		{"8000.00", "10000.00", "0.00"},
		{"0.03", "0.00", "0.01"},
	} {
		bid := mustBid(t, pricing.BidInput{
			Sale: pounds(c.finished), Work: pounds(c.work),
			Tax:   pricing.TaxRule{Regime: pricing.NoTax},
			Steps: evenSteps(pounds("1.00")),
		})
		if got := bid.Advise().HalfUplift; got != pounds(c.want) {
			t.Errorf("half the uplift of %s and %s = %v, want %s", c.finished, c.work, got, c.want)
		}
	}
}

// As a gift each leaves sale less a sixth of it less work; every pound of price then costs five
// sixths, because the margin shrinks with it.
func TestLeaveItWithAReason(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, sale, work string
		verdict          pricing.Verdict
		reason           pricing.Reason
		target, even     string // empty for none
		asGift           string
	}{
		{"room for a price", "6000.00", "3000.00", pricing.Buy, 0, "1200.00", "2400.00", "2000.00"},
		{"only as a gift", "6000.00", "4000.00", pricing.Buy, 0, "0.00", "1200.00", "1000.00"},
		{
			"a profit, but too small", "6000.00", "4500.00", pricing.Leave, pricing.ShortAsGift, "",
			"600.00", "500.00",
		},
		{
			"a loss in any case", "6000.00", "6000.00", pricing.Leave, pricing.LossAsGift, "", "",
			"-1000.00",
		},
	} {
		advice := mustBid(t, pricing.BidInput{
			Sale: pounds(c.sale), Work: pounds(c.work), Tax: margin20(), Target: pricing.Portion{
				Fixed: pounds("1000.00"),
			},
			Steps: evenSteps(pounds("200.00")),
		}).Advise()
		if advice.Verdict != c.verdict || advice.Reason != c.reason ||
			(advice.Reason.String() == "") != (c.reason == 0) {
			t.Errorf(
				"%s: %v, %v; want %v, %v", c.name, advice.Verdict, advice.Reason, c.verdict,
				c.reason,
			)
		}
		checkPrice(t, c.name+", target", advice.Target, c.target)
		checkPrice(t, c.name+", break-even", advice.BreakEven, c.even)
		if advice.AsGift.Profit != pounds(c.asGift) {
			t.Errorf("%s: %v as a gift, want %s", c.name, advice.AsGift.Profit, c.asGift)
		}
	}
}

func checkPrice(t *testing.T, name string, got *pricing.Sums, want string) {
	t.Helper()
	switch {
	case got == nil && want != "", got != nil && want == "":
		t.Errorf("%s: %+v, want %q", name, got, want)
	case got != nil && got.Price != pounds(want):
		t.Errorf("%s: %v, want %s", name, got.Price, want)
	}
}
