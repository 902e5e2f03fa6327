package sale_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/sale"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// takenIn returns a piano of a client that is taken in at 2,000.00, and the sale for which it is.
func takenIn(t *testing.T, tax string) (sale.Sale, instrument.Instrument) {
	t.Helper()
	i := domaintest.Grand()
	i.ID, i.Owner, i.Party, i.State = uuid.UUID{8}, instrument.Client, buyer, instrument.Gone
	x, _, err := sale.Sale{
		ID: uuid.UUID{2}, Buyer: buyer, Price: pounds("9600.00"), Regime: domain.MarginTax,
		Exchange: &sale.Exchange{
			Instrument: i.ID, Value: pounds("2000.00"), Tax: pounds(tax), StockNumber: "K-8",
			Document: uuid.UUID{3},
		},
	}.Sell(boughtAt("4800.00"), zero)
	if err != nil {
		t.Fatal(err)
	}
	return x, i
}

// What is allowed for the piano that is taken in is part of the price, whose tax it doesn't lower
// (S-1 of the worked examples: 800.00), and its own purchase price, from which its margin will be
// taxed; tax on the buyer's paper is reclaimed, and bars the scheme.
func TestWhatIsTakenInIsPartOfThePriceAndItsOwnPurchasePrice(t *testing.T) {
	t.Parallel()
	for tax, c := range map[string]struct {
		price  string
		margin bool
	}{"0.00": {"2000.00", true}, "333.33": {"1666.67", false}} {
		x, i := takenIn(t, tax)
		if x.Tax != pounds("800.00") || x.Balance() != pounds("7600.00") {
			t.Errorf("taxed %s, and %s is owed", x.Tax, x.Balance())
		}
		now, p, err := x.Exchange.TakeIn(x, i, nil, false)
		if err != nil || now.Owner != instrument.Stock || now.State != instrument.Waiting ||
			now.StockNumber != "K-8" {
			t.Errorf("taken in it is %+v, %v", now, err)
		}
		d, lines, err := p.Buy(cost.Stands{
			Instrument: now, Currency: gbp, Regime: domain.MarginTax, Today: today,
		}, nil, false)
		if err != nil || d.Amount != pounds(c.price) || d.Party != buyer || d.On != x.On ||
			(d.MarginPrice != nil) != c.margin || len(lines) != 1 || lines[0].Amount != pounds(c.price) {
			t.Errorf("bought as %+v, %v", d, err)
		}
	}
}

// What was bought by an offer is taken in at the price of that, which was posted then.
func TestWhatAnOfferBoughtIsTakenInAtItsPrice(t *testing.T) {
	t.Parallel()
	x, i := takenIn(t, "0.00")
	i.Owner, i.State = instrument.Stock, instrument.InWork
	agreed := &cost.Agreed{Price: pounds("2000.00"), On: today}
	now, p, err := x.Exchange.TakeIn(x, i, agreed, false)
	if err != nil || p.Price != nil || now.State != instrument.InWork {
		t.Errorf("taken in as %+v, %+v, %v", now, p, err)
	}
	agreed.Price = pounds("1900.00")
	_, _, err = x.Exchange.TakeIn(x, i, agreed, false)
	wantSays(t, err, "at another price", "#/part_exchange/value")
}

// Only what the buyer has to give is taken in.
func TestOnlyWhatIsTheBuyersIsTakenIn(t *testing.T) {
	t.Parallel()
	x, theirs := takenIn(t, "0.00")
	somebodys, offered, ours := theirs, theirs, theirs
	somebodys.Party, offered.Owner, ours.Owner = uuid.UUID{9}, instrument.Offered, instrument.Stock
	for says, i := range map[string]instrument.Instrument{
		"somebody else's": somebodys, "on its bid": offered, "ours already": ours,
	} {
		_, _, err := x.Exchange.TakeIn(x, i, nil, false)
		wantSays(t, err, "taken in", says)
	}
	_, _, err := x.Exchange.TakeIn(x, theirs, nil, true)
	wantSays(t, err, "taken in twice", "recorded already")
	nobodys := theirs
	nobodys.Party = uuid.Nil
	_, _, err = x.Exchange.TakeIn(x, nobodys, nil, false)
	wantSays(t, err, "taken in", "")
}

// Everything that is wrong in what is taken in is told with the sale.
func TestAPartExchangeIsRefusedWithEverythingThatIsWrongInIt(t *testing.T) {
	t.Parallel()
	s := boughtAt("4800.00")
	sell := func(e sale.Exchange) error {
		_, _, err := sale.Sale{
			Buyer: buyer, Price: pounds("9600.00"), Regime: domain.StandardTax, Exchange: &e,
		}.Sell(s, zero)
		return err
	}
	err := sell(sale.Exchange{
		Instrument: s.Instrument.ID, Value: zero, Tax: pounds("-1.00"),
		StockNumber: strings.Repeat("x", domain.MaxName+1),
		Reference:   strings.Repeat("x", domain.MaxName+1),
	})
	for _, at := range []string{
		"instrument", "value/amount", "tax/amount", "stock_number", "reference",
	} {
		if err == nil || !strings.Contains(err.Error(), "#/part_exchange/"+at+":") {
			t.Errorf("%v doesn't name %s", err, at)
		}
	}
	other := sale.Exchange{Instrument: uuid.UUID{8}, Value: pounds("500.00"), Tax: pounds("500.00")}
	wantSays(t, sell(other), "all of it tax", "less than")
	wantSays(t, sell(sale.Exchange{
		Instrument: other.Instrument, Value: money.MustParse("500.00 EUR"),
	}), "in another currency", "#/part_exchange/value/currency")
	s.Terms.TaxRegime = domain.NoTax
	_, _, err = sale.Sale{
		Buyer: buyer, Price: pounds("9600.00"), Exchange: &sale.Exchange{
			Instrument: other.Instrument, Value: pounds("500.00"), Tax: pounds("9.00"),
		},
	}.Sell(s, zero)
	wantSays(t, err, "unregistered", "reclaims no tax")
	s.Terms.TaxRegime = domain.StandardTax
	more := other
	more.Value, more.Tax = pounds("9700.00"), zero
	x, _, err := sale.Sale{
		Buyer: buyer, Price: pounds("9600.00"), Regime: domain.StandardTax, Exchange: &more,
	}.Sell(s, zero)
	if err != nil || x.Balance() != pounds("-100.00") {
		t.Errorf("worth more than the price: %s, %v", x.Balance(), err)
	}
}
