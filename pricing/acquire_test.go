package pricing_test

import (
	"errors"
	"testing"

	"bentside/pricing"
)

// By hand: of 9600 the owner bears 800 of the work and gets 6000, so 2800 is kept, 29.1666… % and a
// little more.
func TestCommissionIsWhatPayoutAndBorneWorkLeaveOfTheSale(t *testing.T) {
	t.Parallel()
	got, err := pricing.CommissionAt(pounds("9600.00"), pounds("800.00"), pounds("6000.00"))
	if err != nil {
		t.Fatal(err)
	}
	if got.Kept != pounds("2800.00") || !got.Share.Equal(dec("0.2917")) ||
		got.Payout != pounds("6000.00") {
		t.Errorf("got %+v, want 2800.00, 0.2917", got)
	}
	over, err := pricing.CommissionAt(pounds("100.00"), pounds("0.00"), pounds("150.00"))
	if err != nil || over.Kept != pounds("-50.00") || !over.Share.Equal(dec("-0.5")) {
		t.Errorf("a payout above the sale: got %+v, %v", over, err)
	}
	var negative *pricing.NegativeError
	if _, err := pricing.CommissionAt(
		pounds("100.00"), pounds("0.00"), pounds("-1.00"),
	); !errors.As(err, &negative) {
		t.Errorf("a negative payout: got %v", err)
	}
}

// A consigned instrument is a bid that is paid at the sale: no interest on the price, and the tax
// on what is kept.
func TestAConsignedInstrumentTiesUpNoPrice(t *testing.T) {
	t.Parallel()
	in := exampleInput()
	in.Premium, in.Holding.PaidAtSale = nil, true
	in.Doubt = nil
	bid := mustBid(t, in)
	sums, err := bid.ProfitAt(pounds("3000.00"))
	if err != nil {
		t.Fatal(err)
	}
	if !item(sums, pricing.ItemFinance).IsZero() || sums.Tax.Base != pounds("6600.00") {
		t.Errorf(
			"finance %v, tax on %v; want none, and 6600.00 kept", item(sums, pricing.ItemFinance),
			sums.Tax.Base,
		)
	}
	n, err := bid.Negotiate(pricing.Table{LossLimit: dec("0.2")})
	if err != nil {
		t.Fatal(err)
	}
	// 350 of transport, and of 2418.50 a half for 150 days and all of it for 60: 1554.75 on average.
	if n.Aim.TiedUp != pounds("1904.75") {
		t.Errorf("%v is tied up, want 1904.75", n.Aim.TiedUp)
	}
}

// By hand, for 12000 asked for the other, which cost 5000, and 4000 allowed for one that is worth
// 3000 to us and sells for 9600. Margin scheme at 20 %: 7000/6 + 5600/6 = 2100.00, and with the
// discount said openly 6000/6 + 6600/6 = 2100.00 too. On the whole price: 12000/6 + 9600/6 =
// 3600.00 against 11000/6 + 9600/6 = 3433.33.
func TestAnAllowanceAboveWorthIsADiscountWithItsTax(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		regime          pricing.Regime
		tax, discounted string
	}{
		{pricing.NoTax, "0.00", "0.00"},
		{pricing.MarginScheme, "2100.00", "2100.00"},
		{pricing.StandardTax, "3600.00", "3433.33"},
	} {
		t.Run(c.regime.String(), func(t *testing.T) {
			t.Parallel()
			in := exampleInput()
			in.Tax = pricing.TaxRule{Regime: c.regime, Rate: dec("0.2")}
			x, err := mustBid(t, in).ExchangeAt(
				pounds("4000.00"), pounds("12000.00"), pounds("5000.00"), pounds("3000.00"),
			)
			if err != nil {
				t.Fatal(err)
			}
			if x.Cash != pounds("8000.00") || x.Discount != pounds("1000.00") ||
				x.Tax != pounds(c.tax) || x.TaxWithDiscount != pounds(c.discounted) {
				t.Errorf(
					"got %+v, want 8000.00 in cash, 1000.00 of discount, tax %s or %s", x, c.tax,
					c.discounted,
				)
			}
			if x.OtherTax.Note == "" {
				t.Error("the tax comes without the note to ask an adviser")
			}
		})
	}
	fair, err := mustBid(t, exampleInput()).ExchangeAt(
		pounds("2500.00"), pounds("12000.00"), pounds("5000.00"), pounds("3000.00"),
	)
	if err != nil || !fair.Discount.IsZero() || fair.Tax != fair.TaxWithDiscount {
		t.Errorf("below its worth there is a discount: %+v, %v", fair, err)
	}
}
