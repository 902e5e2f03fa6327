package supply

import (
	"strings"
	"time"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Payment is what was paid on a bill, or came back where the supplier owed us.
type Payment struct {
	ID   uuid.UUID
	Bill uuid.UUID
	On   domain.Date
	// PostedOn is the day on which it counts in the books.
	PostedOn domain.Date
	Amount   money.Amount // below zero: the supplier paid us
	// Discount is what the supplier allows for paying in time, without tax: it comes off the cost.
	// DiscountTax is the tax on it.
	Discount    money.Amount
	DiscountTax money.Amount
	// Short is what is left unpaid and forgiven: cents.
	Short money.Amount
	// Rate is what one unit of the bill's currency cost on that day; zero: as on the bill. The
	// difference is one of exchange and changes no cost (IAS 21.28).
	Rate        decimal.Decimal
	Note        string
	HomeAmount  money.Amount // what was paid in the workshop's currency
	Exchange    money.Amount // what that is more than by the bill's rate
	Adjustments []Adjustment
	Acquired    []Acquired
	RecordedBy  uuid.UUID
	RecordedAt  time.Time
}

// Settles returns by how much a payment lowers what is owed.
func (p Payment) Settles() money.Amount {
	return p.Amount.Add(p.Discount).Add(p.DiscountTax).Add(p.Short)
}

// Borne is what an arrival or an instrument bears of a bill, in the workshop's currency.
type Borne struct {
	Received
	Instrument uuid.UUID // zero: it is an arrival
	Home       money.Amount
}

// Pay returns a payment of a bill of which so much is owed, with what a discount takes off the cost
// of each arrival and instrument that bears the bill.
func (b Bill) Pay(
	p Payment, owed money.Amount, borne []Borne, home money.Currency, today domain.Date,
) (Payment, error) {
	var f domain.Faults
	if p.On.IsZero() {
		p.On = today
	}
	if n := p.On.DaysUntil(today); n < 0 || p.On.Compare(b.On) < 0 {
		f.Add("#/on", "must be from the day of the bill, %s, to today, %s", b.On, today)
	}
	f.CheckLength("#/note", p.Note, domain.MaxText)
	for _, x := range []struct {
		at string
		a  *money.Amount
	}{
		{"#/amount", &p.Amount},
		{"#/discount", &p.Discount},
		{"#/discount_tax", &p.DiscountTax},
		{"#/short", &p.Short},
	} {
		switch {
		case x.a.Currency().IsZero() && x.at != "#/amount":
			*x.a = money.Zero(b.Currency)
		case x.a.Currency() != b.Currency:
			f.Add(x.at+"/currency", "must be %s, the currency of the bill", b.Currency)
		case x.at != "#/amount" && x.a.Sign() < 0:
			f.Add(x.at+"/amount", "must be 0 or more, not %s", x.a)
		}
	}
	if b.Currency == home && !p.Rate.IsZero() {
		f.Add("#/rate", "must be left out, since %s is the workshop's currency", home)
	} else if err := Exchange.Check(p.Rate); err != nil || p.Rate.IsNegative() {
		f.Add("#/rate", "must be more than 0, in at most 10 places")
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	if p.Short.Decimal().GreaterThanOrEqual(decimal.NewFromInt(1)) {
		f.Add("#/short/amount", "must be less than 1 %s: more is a credit note's matter", b.Currency)
	}
	if !p.Short.IsZero() && strings.TrimSpace(p.Note) == "" {
		f.Add("#/note", "must say why less is paid")
	}
	settles := p.Settles()
	switch {
	case settles.IsZero() || p.Amount.Sign()*owed.Sign() < 0 || settles.Sign()*owed.Sign() < 0:
		f.Add("#/amount/amount", "must lower what is owed, %s", owed)
	case owed.Sign() > 0 && settles.Cmp(owed) > 0 || owed.Sign() < 0 && settles.Cmp(owed) < 0:
		f.Add("#/amount/amount", "comes to %s, more than the %s that is owed", settles, owed)
	}
	if err := f.Err(); err != nil {
		return p, err
	}
	return p.worked(b, borne, home)
}

// worked works out a payment in the workshop's currency, and what its discount takes off the cost.
func (p Payment) worked(b Bill, borne []Borne, home money.Currency) (Payment, error) {
	atBill, err := b.Home(p.Amount, home)
	if err != nil {
		return p, domain.RefuseAt(domain.Invalid, "#/amount/amount", "%v", err)
	}
	then := Terms{Currency: b.Currency, Rate: p.Rate}
	if p.Rate.IsZero() {
		then.Rate = b.Rate
	}
	if p.HomeAmount, err = then.Home(p.Amount, home); err != nil {
		return p, domain.RefuseAt(domain.Invalid, "#/amount/amount", "%v", err)
	}
	p.Exchange = p.HomeAmount.Sub(atBill)
	discount, err := b.Home(p.Discount, home)
	if err != nil || discount.IsZero() {
		return p, err
	}
	weights := make([]decimal.Decimal, len(borne))
	for i, x := range borne {
		weights[i] = decimal.Max(x.Home.Decimal(), decimal.Zero)
	}
	parts, err := discount.Neg().Split(weights)
	if err != nil {
		return p, domain.RefuseAt(domain.Conflict, "#/discount", "nothing was billed that it could come off")
	}
	e := entry{ledger: Ledger{Home: home}, at: map[uuid.UUID]int{}}
	for i, x := range borne {
		if x.Instrument != uuid.Nil {
			e.acquire(x.Instrument, Discount, parts[i])
			continue
		}
		e.adjust(x.Received, parts[i], decimal.Zero, decimal.Zero, "settlement discount")
	}
	p.Adjustments, p.Acquired = e.adjustments, e.acquired
	return p, nil
}
