package supply_test

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/domain/supply"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

var (
	eur   = money.MustCurrency("EUR")
	today = domain.Date{Year: 2026, Month: time.March, Day: 2}
	wire  = stock.Part{
		ID: uuid.UUID{1}, Code: "W-17", Unit: "m", PurchaseUnit: "coil", Content: number("25"),
	}
)

func number(s string) decimal.Decimal { return decimal.RequireFromString(s) }

func setting() supply.Setting {
	return supply.Setting{Home: eur, Today: today, Parts: map[uuid.UUID]stock.Part{wire.ID: wire}}
}

// coils is an order of some coils at a price for the line.
func coils(t *testing.T, n, price string, terms supply.Terms) supply.Order {
	t.Helper()
	o, err := supply.Order{
		Supplier: uuid.UUID{9}, Terms: terms, Expected: today.AddDays(14),
		Lines: []supply.Line{{
			Number: 1, Part: wire.ID, Quantity: number(n), Unit: "coil",
			Price: money.MustParse(price + " " + terms.Currency.Code()),
		}},
	}.Checked(setting())
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func came(o supply.Order, n string, reason string) (supply.Order, supply.Delivery, error) {
	return o.Deliver(supply.Delivery{Reference: "L " + n, Lines: []supply.Arrival{{
		Line: 1, Quantity: number(n), Unit: "coil", Reason: reason,
	}}}, setting().Parts, eur, today)
}

func TestALineIsOutstandingUntilAllOfItCameOrWasCancelled(t *testing.T) {
	t.Parallel()
	o := coils(t, "10", "180.00", supply.Terms{Currency: eur})
	steps := []struct {
		what        string
		do          func() error
		outstanding string
		state       supply.State
	}{
		{"nothing", func() error { return nil }, "250", supply.Awaited},
		{"six come", func() (err error) { o, _, err = came(o, "6", ""); return err }, "100", supply.PartlyThere},
		{"one goes back for another", func() (err error) {
			o, _, _, err = o.SendBack(supply.Returned{
				Quantity: number("1"), Unit: "coil", Replacement: true, Reason: "rusty",
			}, supply.Received{Line: 1, Units: number("150")}, wire)
			return err
		}, "125", supply.PartlyThere},
		{"one goes back for good", func() (err error) {
			o, _, _, err = o.SendBack(supply.Returned{
				Quantity: number("1"), Unit: "coil", Reason: "rusty",
			}, supply.Received{Line: 1, Units: number("150")}, wire)
			return err
		}, "125", supply.PartlyThere},
		{"the rest is cancelled", func() (err error) {
			o, _, err = o.Cancel(supply.Cancellation{Reason: "late"})
			return err
		}, "0", supply.Complete},
		{"one comes all the same", func() (err error) { o, _, err = came(o, "1", "sent anyway"); return err }, "0", supply.Complete},
	}
	for _, s := range steps {
		if err := s.do(); err != nil {
			t.Fatalf("%s: %v", s.what, err)
		}
		if got := o.Lines[0].Outstanding(); !got.Equal(number(s.outstanding)) || o.State() != s.state {
			t.Errorf("%s: %s m outstanding, %s; want %s, %s", s.what, got, o.State(), s.outstanding, s.state)
		}
	}
}

func TestAnOrderOfWhichNothingCameIsCancelledWhole(t *testing.T) {
	t.Parallel()
	o, c, err := coils(t, "2", "36.00", supply.Terms{Currency: eur}).Cancel(
		supply.Cancellation{Reason: "no longer made"})
	if err != nil || o.State() != supply.Cancelled || !c.Units[1].Equal(number("50")) {
		t.Errorf("%v, %s, %v", err, o.State(), c.Units)
	}
	if _, _, err := o.Cancel(supply.Cancellation{Reason: "again"}); err == nil {
		t.Error("what isn't outstanding was cancelled again")
	}
}

func TestMoreThanIsOutstandingNeedsAWord(t *testing.T) {
	t.Parallel()
	o := coils(t, "2", "36.00", supply.Terms{Currency: eur})
	if _, _, err := came(o, "3", ""); err == nil || !strings.Contains(err.Error(), "#/lines/0/reason") {
		t.Errorf("got %v, want a fault about the reason", err)
	}
	if _, _, err := came(o, "2", "why not"); err == nil {
		t.Error("a reason was taken where no more came")
	}
	over, d, err := came(o, "3", "they sent three, we keep it")
	if err != nil || over.State() != supply.Complete || d.Lines[0].Value.Text() != "54.00" {
		t.Errorf("%v, %s, %s", err, over.State(), d.Lines[0].Value)
	}
}

// 3 coils for 10.00 come one by one: 3.33, 3.34 and 3.33 (A10 of the worked examples has the same
// figures for what leaves).
func TestThePricesOfPartialDeliveriesAddUpToThatOfTheLine(t *testing.T) {
	t.Parallel()
	o := coils(t, "3", "10.00", supply.Terms{Currency: eur})
	for _, want := range []string{"3.33", "3.34", "3.33"} {
		var d supply.Delivery
		var err error
		if o, d, err = came(o, "1", ""); err != nil || d.Lines[0].Price.Text() != want {
			t.Errorf("%v, %s; want %s", err, d.Lines[0].Price, want)
		}
	}
}

func TestAnotherCurrencyNeedsItsRateAndOurOwnHasNone(t *testing.T) {
	t.Parallel()
	dollars := money.MustCurrency("USD")
	o := coils(t, "2", "100.00", supply.Terms{Currency: dollars, Rate: number("0.9234565")})
	_, d, err := came(o, "2", "")
	if err != nil || d.Lines[0].Value.String() != "92.35 EUR" || d.Lines[0].Price.String() != "100.00 USD" {
		t.Errorf("%v, %+v", err, d.Lines)
	}
	for pointer, terms := range map[string]supply.Terms{
		"must say what 1 USD is worth":       {Currency: dollars},
		"must be left out, since EUR is":     {Currency: eur, Rate: number("0.9")},
		"must have at most 10 digits before": {Currency: dollars, Rate: number("0.12345678901")},
	} {
		o.Terms = terms
		o.Lines[0].Price = money.Zero(terms.Currency)
		if _, err := o.Checked(setting()); err == nil || !strings.Contains(err.Error(), pointer) {
			t.Errorf("got %v, want %s", err, pointer)
		}
	}
}

func TestALineOfWhichSomethingCameStaysAsItIs(t *testing.T) {
	t.Parallel()
	o := coils(t, "10", "180.00", supply.Terms{Currency: eur})
	o, _, err := came(o, "6", "")
	if err != nil {
		t.Fatal(err)
	}
	edit := func(change func(*supply.Order)) error {
		to := o
		to.Lines = append([]supply.Line(nil), o.Lines...)
		change(&to)
		_, err := o.Change(to, setting())
		return err
	}
	for what, change := range map[string]func(*supply.Order){
		"its quantity":   func(to *supply.Order) { to.Lines[0].Quantity = number("9") },
		"its price":      func(to *supply.Order) { to.Lines[0].Price = money.MustParse("179.00 EUR") },
		"the line":       func(to *supply.Order) { to.Lines = nil },
		"the supplier":   func(to *supply.Order) { to.Supplier = uuid.UUID{8} },
		"another number": func(to *supply.Order) { to.Lines[0].Number = 7 },
	} {
		if err := edit(change); err == nil {
			t.Errorf("%s was changed", what)
		}
	}
	if err := edit(func(to *supply.Order) {
		to.Expected = today.AddDays(60)
		to.Lines = append(to.Lines, supply.Line{
			Part: wire.ID, Quantity: number("5"), Each: &[]decimal.Decimal{number("0.735")}[0],
		})
	}); err != nil {
		t.Errorf("a later day and another line were refused: %v", err)
	}
}
