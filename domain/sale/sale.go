package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Sale is that an instrument was sold: kept for good, whatever comes after.
type Sale struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	Number     int // counts the sales of the instrument from 1
	Buyer      uuid.UUID
	Price      money.Amount // tax included
	Regime     domain.TaxRegime
	Rate       decimal.Decimal // of the tax, a share; 0 without one
	Base       money.Amount    // what the tax is contained in: price, margin, agency or nothing
	Tax        money.Amount    // worked out once, at the sale
	// PurchasePrice is what the margin was taxed from; nil under any other regime.
	PurchasePrice *money.Amount
	// Agency is what becomes of the price of what was sold for its owner; nil: it was ours.
	Agency *Agency
	// Exchange is what is taken in part payment; nil: nothing is.
	Exchange *Exchange
	Deposits money.Amount // that were applied
	// Carrying is what the instrument stood at in stock on the day of the sale: its cost then, as the
	// books had it when the sale was recorded. It is the cost of sales at the sale.
	Carrying money.Amount
	// StockNumber is the number of the instrument that our paper says; empty: it had none.
	StockNumber string
	Reference   string // of our paper
	On          domain.Date
	PostedOn    domain.Date // the day on which it counts in the books
	Note        string
	RecordedBy  uuid.UUID
	RecordedAt  time.Time

	HandOver *HandOver // nil: it is still with us, or came back before
	Return   *Return   // nil: it is sold for good as far as is known
}

// Balance returns what the buyer owes beside the deposits and what is taken in part payment; below
// zero where we owe it.
func (x Sale) Balance() money.Amount {
	balance := x.Price.Sub(x.Deposits)
	if x.Exchange != nil {
		balance = balance.Sub(x.Exchange.Value)
	}
	return balance
}

// Sell checks a sale and completes it, with what becomes of the deposits that are held. Carrying
// is what the instrument stood at in stock at the end of the day of the sale. What bars the sale
// is named, with what lifts it.
func (x Sale) Sell(s Stands, carrying money.Amount) (Sale, []DepositMove, error) {
	x.Instrument, x.Number = s.Instrument.ID, len(s.Sales)+1
	x.StockNumber = s.Instrument.StockNumber
	if x.On.IsZero() {
		x.On = s.Today
	}
	x.PostedOn = s.postingDay(x.On)
	var f domain.Faults
	f.CheckHappened("#/on", x.On, s.Today)
	checkNotBefore(&f, x.On, s.lastReturn(), "its return")
	checkNotBefore(&f, x.On, s.laterDeposit(), "the deposit")
	checkNotBefore(&f, x.On, lastValuation(s.Valuations), "the last valuation")
	s.checkOurs(&f, x.On)
	s.checkFree(&f, x.On, x.Buyer)
	checkParty(&f, "#/buyer", x.Buyer)
	checkAmount(&f, "#/price", x.Price, s.Currency, false)
	f.CheckLength("#/reference", x.Reference, domain.MaxName)
	f.CheckLength("#/note", x.Note, domain.MaxText)
	x.Exchange.check(&f, x, s)
	mayDeal := s.mayDeal(sellRefused)
	if mayDeal == nil {
		x.Regime = s.pick(&f, x.Regime)
	}
	if err := f.Err(); err != nil {
		return x, nil, err
	}
	if mayDeal != nil {
		return x, nil, mayDeal
	}
	if err := s.keptForOthers(sellRefused, x.Buyer); err != nil {
		return x, nil, err
	}
	if err := s.Stops.Permit(sellRefused, catalogue.ToSell); err != nil {
		return x, nil, err
	}
	moves, applied := s.apply(x)
	if applied.Cmp(x.Price) > 0 {
		return x, nil, domain.RefuseAt(domain.Conflict, "#/price", "the deposits held, %s, are more "+
			"than the price: refund the difference first", applied)
	}
	x.Deposits = applied
	if x.Regime == domain.MarginTax {
		price := *s.Purchase.MarginPrice
		x.PurchasePrice = &price
	}
	x, t, err := s.settle(x)
	if err != nil {
		return x, nil, err
	}
	x.Rate, x.Base, x.Tax, x.Carrying = t.Rate, t.Base, t.Due, carrying
	return x, moves, nil
}

const sellRefused = "the instrument can't be sold"

// CheckKeepsNumber returns a Conflict Fault where the stock number of an instrument would be
// changed that the paper of a sale says.
func CheckKeepsNumber(sales []Sale, was, is instrument.Instrument) error {
	if was.StockNumber == is.StockNumber {
		return nil
	}
	for _, x := range sales {
		if x.Return == nil || x.StockNumber != "" {
			return domain.RefuseAt(domain.Conflict, "#/stock_number", "must stay %q: the paper of its "+
				"sale on %s says it", was.StockNumber, x.On)
		}
	}
	return nil
}

// CheckKeepsHands returns a Conflict Fault where the record of an instrument that is sold would be
// given another owner by hand, other than from one client to the next.
func CheckKeepsHands(sales []Sale, was, is instrument.Instrument) error {
	x := Current(sales)
	switch {
	case x == nil || was.Owner == is.Owner:
		return nil
	case x.HandOver == nil:
		return domain.Refuse(domain.Conflict, "the instrument was sold on %s: record its hand-over, or "+
			"that the sale was undone", x.On)
	}
	return domain.Refuse(domain.Conflict, "the instrument was sold on %s: record its return. What is "+
		"bought back later has another purchase and another cost, and is entered as another instrument",
		x.On)
}
