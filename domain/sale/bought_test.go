package sale_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// agreedOn returns how a piano stands that an offer bought and whose purchase isn't recorded.
func agreedOn(on domain.Date) sale.Stands {
	s := owned()
	s.Agreed = &cost.Agreed{
		Price: pounds("3000.00"), On: on,
		OpenRegimes: []domain.TaxRegime{domain.MarginTax, domain.StandardTax},
	}
	return s
}

// Nothing is offered, kept for a buyer or sold before it is ours.
func TestAPianoIsSoldNoEarlierThanItWasBought(t *testing.T) {
	t.Parallel()
	recorded := boughtAt("3000.00")
	for name, s := range map[string]sale.Stands{
		"by an offer": agreedOn(today), "by the record of a purchase": recorded,
	} {
		early := today.AddDays(-1)
		price := pounds("6000.00")
		_, _, selling := sale.Sale{Buyer: buyer, Price: price, Regime: domain.StandardTax, On: early}.
			Sell(s, zero)
		_, asking := sale.ShowroomPrice{Price: &price, On: early}.Ask(s, false)
		_, deposit := sale.DepositMove{Buyer: buyer, Amount: price, On: early}.Take(s)
		for what, err := range map[string]error{"sold": selling, "offered": asking, "kept": deposit} {
			if err == nil || !strings.Contains(err.Error(), "the day of its purchase") {
				t.Errorf("bought %s, %s the day before: %v", name, what, err)
			}
		}
	}
}

// An offer that left the margin open isn't a record of the purchase, so that nobody is taxed on the
// whole price by saying nothing.
func TestTheMarginIsNotLostBySayingNothing(t *testing.T) {
	t.Parallel()
	s := agreedOn(today)
	if _, err := sold(s, "6000.00", "", "3000.00"); err == nil ||
		!strings.Contains(err.Error(), "left the margin open") {
		t.Errorf("without a regime: %v", err)
	}
	if x, err := sold(s, "6000.00", domain.StandardTax, "3000.00"); err != nil ||
		x.Tax != pounds("1000.00") {
		t.Errorf("standard, by name: tax %s, %v", x.Tax, err)
	}
	if _, err := sold(s, "6000.00", domain.MarginTax, "3000.00"); err == nil {
		t.Error("taxed on the margin without a record of the purchase")
	}
}

// The paper of a sale keeps the number under which it was sold, and so does the piano.
func TestAPianoKeepsTheNumberUnderWhichItWasSold(t *testing.T) {
	t.Parallel()
	s := boughtAt("1500.00")
	x, err := sold(s, "2000.00", domain.MarginTax, "1500.00")
	if err != nil || x.StockNumber != "K-7" {
		t.Fatalf("sold under %q, %v", x.StockNumber, err)
	}
	renamed, none := s.Instrument, s.Instrument
	renamed.StockNumber, none.StockNumber = "K-8", ""
	back := x
	back.Return = &sale.Return{}
	for _, sales := range [][]sale.Sale{{x}, {back}} {
		if sale.CheckKeepsNumber(sales, s.Instrument, renamed) == nil ||
			sale.CheckKeepsNumber(sales, s.Instrument, none) == nil {
			t.Error("another number under the paper of a sale")
		}
	}
	if err := sale.CheckKeepsNumber(nil, s.Instrument, renamed); err != nil {
		t.Errorf("another number before any sale: %v", err)
	}
	s.Instrument.StockNumber = ""
	if _, err := sold(s, "2000.00", domain.MarginTax, "1500.00"); err == nil ||
		!strings.Contains(err.Error(), "#/regime") || !strings.Contains(err.Error(), "stock_number") {
		t.Errorf("under the margin scheme without a number: %v", err)
	}
	plain, err := sold(s, "2000.00", domain.StandardTax, "1500.00")
	if err != nil {
		t.Fatalf("standard, without a number: %v", err)
	}
	plain.Return = &sale.Return{}
	if err := sale.CheckKeepsNumber([]sale.Sale{plain}, s.Instrument, renamed); err != nil {
		t.Errorf("numbered after the return of what was sold without: %v", err)
	}
}

// A piano is promised to whoever left a deposit, until that is released: nobody else buys it or
// leaves a deposit for a day before.
func TestAPianoIsPromisedUntilTheDepositIsReleased(t *testing.T) {
	t.Parallel()
	s := boughtAt("1500.00")
	s.Today = today.AddDays(9)
	s.Deposits = []sale.Deposit{{
		ID: uuid.UUID{3}, Buyer: uuid.UUID{8}, Amount: pounds("500.00"), Applied: zero,
		Refunded: pounds("500.00"), Forfeited: zero, Reversed: zero, On: today.AddDays(2),
		ReleasedOn: today.AddDays(5),
	}}
	for _, c := range []struct {
		to      uuid.UUID
		days    int
		refused bool
	}{
		{buyer, 1, false},
		{buyer, 2, true},
		{buyer, 4, true},
		{buyer, 5, false},
		{uuid.UUID{8}, 4, false},
	} {
		on := today.AddDays(c.days)
		_, _, selling := sale.Sale{
			Buyer: c.to, Price: pounds("2000.00"), Regime: domain.MarginTax, On: on,
		}.Sell(s, zero)
		_, taking := sale.DepositMove{Buyer: c.to, Amount: pounds("300.00"), On: on}.Take(s)
		for what, err := range map[string]error{"sold": selling, "kept": taking} {
			refused := err != nil && strings.Contains(err.Error(), "another buyer's deposit")
			if refused != c.refused || err != nil && !refused {
				t.Errorf("%s to %s on day %d: %v", what, c.to, c.days, err)
			}
		}
	}
}

// recordedOn returns the days on which a sale, a valuation and a loss of a day count.
func recordedOn(s sale.Stands, on domain.Date) (days []domain.Date, errs []error) {
	x, _, errSale := sale.Sale{
		Buyer: buyer, Price: pounds("2000.00"), Regime: domain.StandardTax, On: on,
	}.Sell(s, zero)
	f := sale.File{Currency: gbp}
	v, errValue := sale.Valuation{Price: pounds("900.00"), Note: "two offers", On: on}.Value(s, f)
	l, errLoss := sale.Loss{Kind: sale.Stolen, Note: "from the van", On: on}.Write(s, f)
	return []domain.Date{x.PostedOn, v.PostedOn, l.PostedOn}, []error{errSale, errValue, errLoss}
}

// A purchase that was entered late counts on the first day that was open then. What rests on it
// counts no sooner, though those days were opened again since.
func TestNothingCountsBeforeThePurchaseThatItRestsOn(t *testing.T) {
	t.Parallel()
	s := boughtAt("1500.00")
	s.Purchase.On, s.Purchase.PostedOn = today.AddDays(-20), today.AddDays(-3)
	for on, want := range map[domain.Date]domain.Date{
		today.AddDays(-10): today.AddDays(-3), today.AddDays(-3): today.AddDays(-3), today: today,
	} {
		days, errs := recordedOn(s, on)
		for i, day := range days {
			if errs[i] != nil || day != want {
				t.Errorf("no. %d, of %s, counts on %s, want %s: %v", i, on, day, want, errs[i])
			}
		}
	}
}

// What old books say was bought long ago counts on the day of the balances: until then nothing
// happened to it that isn't in them.
func TestNothingIsRecordedBeforeTheBalancesOfOldBooks(t *testing.T) {
	t.Parallel()
	s := boughtAt("1500.00")
	s.Purchase.Opening = uuid.UUID{9}
	s.Purchase.On, s.Purchase.PostedOn = today.AddDays(-260), today.AddDays(-3)
	for on, says := range map[domain.Date]string{
		today.AddDays(-20): "the balances", today.AddDays(-4): "the balances", today.AddDays(-3): "",
	} {
		_, errs := recordedOn(s, on)
		_, err := sale.DepositMove{Buyer: buyer, Amount: pounds("50.00"), On: on}.Take(s)
		for _, err := range append(errs, err) {
			wantSays(t, err, "on "+on.String(), says)
		}
	}
}
