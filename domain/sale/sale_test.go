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
	"github.com/shopspring/decimal"
)

var (
	gbp   = money.MustCurrency("GBP")
	today = domaintest.JobDay
	zero  = money.Zero(gbp)
	buyer = uuid.UUID{7}
)

func pounds(text string) money.Amount { return money.MustParse(text + " GBP") }

// owned is how a piano of ours stands, in a workshop that charges 20 %.
func owned() sale.Stands {
	i := domaintest.Grand()
	i.ID, i.Owner, i.State, i.StockNumber = uuid.UUID{1}, instrument.Stock, instrument.Ready, "K-7"
	return sale.Stands{
		Instrument: i, Currency: gbp, Today: today,
		Terms: domain.Terms{TaxRegime: domain.MarginTax, TaxRate: decimal.RequireFromString("0.20")},
	}
}

// boughtAt returns how a piano stands that was bought from a private seller.
func boughtAt(price string) sale.Stands {
	s, p := owned(), pounds(price)
	s.Purchase = &cost.Document{
		Kind: cost.Purchased, MarginPrice: &p, On: today,
		OpenRegimes: []domain.TaxRegime{domain.MarginTax, domain.StandardTax},
	}
	return s
}

// costs returns costs of stock of today, one for each amount.
func costs(amounts ...string) (list []cost.Dated) {
	for _, a := range amounts {
		list = append(list, cost.Dated{
			Total: cost.Total{Inventory: true, Purpose: cost.Work, Amount: pounds(a)},
			Since: today, PostedOn: today,
		})
	}
	return list
}

func sold(s sale.Stands, price string, r domain.TaxRegime, carrying string) (sale.Sale, error) {
	x, _, err := sale.Sale{ID: uuid.UUID{2}, Buyer: buyer, Price: pounds(price), Regime: r}.
		Sell(s, pounds(carrying))
	return x, err
}

// E1 to E4 of the worked examples: E1 is published by gov.uk (VAT margin schemes), the others
// follow its rules. Repairs of 400.00 never enter the margin, a loss owes nothing, and of two
// items the loss of one lowers nothing of the other. The last row is the workshop case S-1.
func TestTheTaxOfASaleUnderTheMarginScheme(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ purchase, price, carrying, tax, net string }{
		"E1":             {"1500.00", "2000.00", "1500.00", "83.33", "1916.67"},
		"E2, repaired":   {"1500.00", "2000.00", "1900.00", "83.33", "1916.67"},
		"E3, a loss":     {"1500.00", "1400.00", "1500.00", "0.00", "1400.00"},
		"E4, first":      {"1000.00", "1600.00", "1000.00", "100.00", "1500.00"},
		"E4, the second": {"1300.00", "1000.00", "1300.00", "0.00", "1000.00"},
		"S-1":            {"4800.00", "9600.00", "8429.29", "800.00", "8800.00"},
	} {
		x, err := sold(boughtAt(c.purchase), c.price, domain.MarginTax, c.carrying)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		a := sale.File{
			Currency: gbp, Sales: []sale.Sale{x},
			Costs: costs(c.carrying),
		}.Account()
		if x.Tax != pounds(c.tax) || a.NetSales != pounds(c.net) || x.Carrying != pounds(c.carrying) ||
			a.Margin != pounds(c.net).Sub(pounds(c.carrying)) {
			t.Errorf("%s: tax %s, net %s, margin %s; want %s and %s", name, x.Tax, a.NetSales, a.Margin,
				c.tax, c.net)
		}
	}
}

// Which regimes a sale may pick from: HMRC VATMARG02300 bars the scheme where tax was shown on the
// purchase; what isn't known to be open isn't.
func TestWhichTaxesAreOpenToASale(t *testing.T) {
	t.Parallel()
	private := boughtAt("1500.00").Purchase
	invoiced := &cost.Document{OpenRegimes: []domain.TaxRegime{domain.StandardTax}}
	unregistered := &cost.Document{OpenRegimes: []domain.TaxRegime{domain.NoTax}}
	for _, c := range []struct {
		workshop domain.TaxRegime
		purchase *cost.Document
		want     string
	}{
		{domain.MarginTax, private, "margin standard"},
		{domain.StandardTax, private, "margin standard"},
		{domain.MarginTax, invoiced, "standard"},
		{domain.MarginTax, nil, "standard"},
		{domain.MarginTax, unregistered, "standard"},
		{domain.NoTax, private, "none"},
		{domain.NoTax, nil, "none"},
	} {
		var names []string
		for _, r := range sale.OpenRegimes(c.workshop, c.purchase) {
			names = append(names, string(r))
		}
		if got := strings.Join(names, " "); got != c.want {
			t.Errorf("%s, bought as %+v: %q is open, want %q", c.workshop, c.purchase, got, c.want)
		}
	}
}

// Of two open regimes one has to be picked, and a closed one is refused with its reason.
func TestARegimeIsPickedFromWhatIsOpen(t *testing.T) {
	t.Parallel()
	none := boughtAt("1500.00")
	none.Terms.TaxRegime = domain.NoTax
	for _, c := range []struct {
		s      sale.Stands
		picked domain.TaxRegime
		says   string
	}{
		{boughtAt("1500.00"), "", "margin or standard"},
		{boughtAt("1500.00"), domain.NoTax, "margin or standard"},
		{owned(), domain.MarginTax, "no purchase"},
		{none, domain.MarginTax, "isn't registered"},
	} {
		if _, err := sold(c.s, "2000.00", c.picked, "0.00"); err == nil ||
			!strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: got %v, want a fault that says %q", c.picked, err, c.says)
		}
	}
	if x, err := sold(none, "2000.00", "", "0.00"); err != nil || x.Regime != domain.NoTax ||
		!x.Tax.IsZero() || !x.Rate.IsZero() {
		t.Errorf("unregistered: %+v, %v", x, err)
	}
}

// Deposits that are more than the price aren't applied, and all faults of a request come at once.
func TestASaleIsRefusedWithEverythingThatIsWrongInIt(t *testing.T) {
	t.Parallel()
	s := boughtAt("1500.00")
	_, _, err := sale.Sale{
		On: today.AddDays(1), Price: pounds("0.00"), Note: strings.Repeat("x", domain.MaxText+1),
	}.Sell(s, zero)
	for _, at := range []string{"#/on", "#/buyer", "#/price/amount", "#/note", "#/regime"} {
		if err == nil || !strings.Contains(err.Error(), at+":") {
			t.Errorf("%v doesn't name %s", err, at)
		}
	}
	s.Deposits = []sale.Deposit{{
		ID: uuid.UUID{3}, Buyer: buyer, Amount: pounds("2000.01"), Applied: zero, Refunded: zero,
		Forfeited: zero, Reversed: zero, On: today,
	}}
	if _, err := sold(s, "2000.00", domain.MarginTax, "0.00"); err == nil ||
		!strings.Contains(err.Error(), "refund the difference") {
		t.Errorf("got %v, want the deposit to be more than the price", err)
	}
}
