package sale_test

import (
	"testing"

	"bentside/domain"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// overCounter is a counter sale of lines at some prices, and how it is taxed.
func overCounter(
	regime domain.TaxRegime, prices ...string,
) (sale.CounterSale, sale.CounterSetting) {
	var x sale.CounterSale
	for _, p := range prices {
		x.Lines = append(x.Lines, sale.CounterLine{
			Part: uuid.UUID{9}, Quantity: decimal.NewFromInt(3), Unit: "piece", Price: pounds(p),
		})
	}
	return x, sale.CounterSetting{
		Terms:    domain.Terms{TaxRegime: regime, TaxRate: decimal.RequireFromString("0.2")},
		Currency: gbp, Today: domain.Date{Year: 2026, Month: 3, Day: 2},
	}
}

// 120.00 holds 20.00 of tax at 20 % (gov.uk: the VAT fraction is one sixth); a workshop on the
// margin taxes parts on the whole price, one that isn't registered not at all.
func TestACounterSaleIsTaxedOnTheWholePrice(t *testing.T) {
	t.Parallel()
	for regime, tax := range map[domain.TaxRegime]string{
		domain.StandardTax: "20.00", domain.MarginTax: "20.00", domain.NoTax: "0.00",
	} {
		x, s := overCounter(regime, "90.00", "30.00")
		x, err := x.Sell(s)
		if err != nil || x.Tax != pounds(tax) || x.Lines[0].Tax.Add(x.Lines[1].Tax) != x.Tax {
			t.Errorf("%s: taxed %s, %v; want %s", regime, x.Tax, err, tax)
		}
	}
}

func TestACounterSaleThatIsWrongNamesTheField(t *testing.T) {
	t.Parallel()
	x, s := overCounter(domain.NoTax, "90.00", "-1.00")
	x.Lines[0].Price = money.MustParse("90.00 EUR")
	x.On = s.Today.AddDays(1)
	_, err := x.Sell(s)
	for _, says := range []string{
		"#/lines/0/price/currency: must be GBP", "#/lines/1/price/amount: must be 0 or more", "#/on",
	} {
		wantSays(t, err, "sold", says)
	}
	_, err = sale.CounterSale{}.Sell(s)
	wantSays(t, err, "sold", "#/lines: must be 1 to 100")
	x, s = overCounter(domain.NoTax, "90.00")
	if x, err = x.Sell(s); err != nil {
		t.Fatal(err)
	}
	back := func(line int, q string) sale.CounterBack {
		return sale.CounterBack{Line: line, Quantity: decimal.RequireFromString(q)}
	}
	for says, lines := range map[string][]sale.CounterBack{
		"#/lines/0/line: must be a line of the sale, 1 to 1": {back(2, "1")},
		"#/lines/1/line: must be listed once":                {back(1, "1"), back(1, "1")},
		"#/lines/0/quantity: must be more than 0":            {back(1, "-1")},
		"must be at most 3 piece, what hasn't come back":     {back(1, "4")},
		"#/lines: must be 1 to 100":                          nil,
	} {
		_, err := x.TakeBack(sale.CounterReturn{Lines: lines}, s)
		wantSays(t, err, "taken back", says)
	}
	_, err = x.TakeBack(sale.CounterReturn{
		Lines: []sale.CounterBack{back(1, "1")}, On: s.Today.AddDays(-1),
	}, s)
	wantSays(t, err, "taken back", "#/on: must be 2026-03-02, the day of its sale, or later")
}

// A third of a line of 0.02 takes the cent of it that is refunded, and the tax of that with it:
// what comes back later for nothing has no tax.
func TestNothingRefundedHoldsNoTax(t *testing.T) {
	t.Parallel()
	x, s := overCounter(domain.StandardTax)
	for _, price := range []int64{2, 0, 1} {
		x.Lines = append(x.Lines, sale.CounterLine{
			Part: uuid.UUID{9}, Unit: "m", Quantity: decimal.RequireFromString("0.3"),
			Price: money.FromMinor(price, gbp),
		})
	}
	x, err := x.Sell(s)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		r, err := x.TakeBack(sale.CounterReturn{
			Lines: []sale.CounterBack{{Line: 1, Quantity: decimal.RequireFromString("0.1")}},
		}, s)
		if err != nil {
			t.Fatal(err)
		}
		if b := r.Lines[0]; b.Tax.Cmp(b.Refund) > 0 {
			t.Errorf("return %d: %s are refunded with %s of tax", i+1, b.Refund, b.Tax)
		}
		x.Returns = append(x.Returns, r)
	}
}

// Whatever comes back in whatever pieces: no refund is below zero, what is refunded and what is
// kept are the price, and once all has come back nothing of price and tax is left.
func TestWhatIsRefundedAndKeptIsThePriceWhateverComesBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x, s := overCounter(domain.StandardTax)
		for range rapid.IntRange(1, 4).Draw(t, "lines") {
			x.Lines = append(x.Lines, sale.CounterLine{
				Part: uuid.UUID{9}, Unit: "m",
				Quantity: decimal.New(rapid.Int64Range(1, 70).Draw(t, "tenths"), -1),
				Price:    money.FromMinor(rapid.Int64Range(0, 10_000).Draw(t, "price"), gbp),
			})
		}
		x, err := x.Sell(s)
		if err != nil {
			t.Fatal(err)
		}
		left := make([]decimal.Decimal, len(x.Lines))
		for i, l := range x.Lines {
			left[i] = l.Quantity
		}
		for i := range left {
			for left[i].IsPositive() {
				tenths := left[i].Shift(1).IntPart()
				q := decimal.New(rapid.Int64Range(1, tenths).Draw(t, "back"), -1)
				r, err := x.TakeBack(sale.CounterReturn{
					Lines: []sale.CounterBack{{Line: i + 1, Quantity: q}},
				}, s)
				if err != nil {
					t.Fatal(err)
				}
				if b := r.Lines[0]; b.Refund.Sign() < 0 || b.Tax.Sign() < 0 || b.Tax.Cmp(b.Refund) > 0 {
					t.Fatalf("%s are refunded with %s of tax", b.Refund, b.Tax)
				}
				x.Returns = append(x.Returns, r)
				left[i] = left[i].Sub(q)
			}
		}
		if sums := x.Sums(); sums.Refund != x.Price || !sums.Tax.IsZero() || !sums.NetSales.IsZero() {
			t.Fatalf("all of %s came back, and it comes to %+v", x.Price, sums)
		}
	})
}
