package sale

import (
	"time"

	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// File is everything that the account of an instrument follows from.
type File struct {
	Currency money.Currency
	Costs    []cost.Dated // all of the instrument
	Sales    []Sale       // in order
	Deposits []Deposit
	// Valuations are those of the instrument, in order; Loss is that it is gone without a sale, nil:
	// it isn't.
	Valuations []Valuation
	Loss       *Loss
	// Theirs are the jobs on the instrument while it was a buyer's: they cost neither a sale nor our
	// stock.
	Theirs map[uuid.UUID]bool
}

// Theirs returns which of some jobs, given when each was recorded, were accepted between a
// hand-over and the return: on a piano that was a buyer's.
func Theirs(sales []Sale, accepted map[uuid.UUID]time.Time) map[uuid.UUID]bool {
	theirs := map[uuid.UUID]bool{}
	for id, at := range accepted {
		for _, x := range sales {
			if h := x.HandOver; h != nil && at.After(h.RecordedAt) &&
				(x.Return == nil || at.Before(x.Return.RecordedAt)) {
				theirs[id] = true
			}
		}
	}
	return theirs
}

// Spells returns when an instrument was a buyer's, given all its sales in order.
func Spells(sales []Sale) (list []cost.Spell) {
	for _, x := range sales {
		if x.HandOver == nil {
			continue
		}
		s := cost.Spell{LeftOn: x.HandOver.On}
		if x.Return != nil {
			s.BackOn = x.Return.On
		}
		list = append(list, s)
	}
	return list
}

// Account is what has become of what an instrument cost, and what it brought.
type Account struct {
	// Landed is what it has cost as stock is counted (IAS 2), of which Carrying is in stock; of the
	// rest CostOfSales was sold, WrittenDown written down to what it is worth, InParts went into stock
	// as its parts, and Lost with it. Lost is below zero where a cost was taken back that is in parts.
	Landed, Carrying, CostOfSales, WrittenDown, InParts, Lost money.Amount
	Deals                                                     []Deal // one for each sale
	Looks                                                     []Look // one for each valuation
	// NetSales is what the sales brought after tax, refunds and what is the owner's of what we sold
	// for somebody; Forfeited the deposits that buyers lost, and Borne what owners bear of our work,
	// both after tax. Tax is that of all three.
	NetSales, Forfeited, Borne, Tax money.Amount
	// Owed is what owners are owed of the prices of what we sold for them.
	Owed money.Amount
	// Margin is NetSales, Forfeited and Borne less CostOfSales, WrittenDown and Lost. Selling and
	// Other are expenses that are never in stock, as management counts them; Result is what is left.
	Margin, Selling, Other, Result money.Amount
	// Deposits is what is owed to buyers.
	Deposits money.Amount
}

// Deal is what one sale comes to, after a return too.
type Deal struct {
	Sale Sale
	// Tax, NetSales: of the price, or of what was kept of it. NetSales is Price less Refund, Tax,
	// Owed and Borne.
	Refund, Tax, NetSales money.Amount
	// Owed is what the owner is owed of what was sold for somebody, Borne what the owner bears of our
	// work, after tax: nothing after a return.
	Owed, Borne money.Amount
	// AfterSale is what was added to the cost of sales later: what was posted or became known then,
	// less what was taken back of it after a return.
	// CostBack went back into stock. CostOfSales is Carrying at the sale and AfterSale less CostBack.
	AfterSale, CostBack, CostOfSales money.Amount
	Margin                           money.Amount // NetSales and Borne less CostOfSales
}

// ours reports whether a cost is ours to bear or to sell: not that of a buyer's job, nor of work
// that was done while the instrument was a buyer's, whenever it was entered.
func (f File) ours(c cost.Dated) bool {
	return !f.Theirs[c.Job] && (!cost.IsWork(c.Purpose) || !cost.WereTheirs(Spells(f.Sales), c.Since))
}

// landed returns what the instrument has cost as stock is counted, of what belongs to the time up
// to a day; of everything where the day is zero.
func (f File) landed(upTo domain.Date) money.Amount {
	sum := money.Zero(f.Currency)
	for _, c := range f.Costs {
		if c.Inventory && f.ours(c) && (upTo.IsZero() || c.Since.Compare(upTo) <= 0) {
			sum = sum.Add(c.Amount)
		}
	}
	return sum
}

// expensed is what of the cost has become an expense: of each sale what stays one after its return,
// and what was written down, which is the sum of what each valuation wrote down.
type expensed struct {
	stays, looks []money.Amount
	written      money.Amount
}

// sum returns all of it.
func (e expensed) sum() money.Amount {
	sum := e.written
	for _, stays := range e.stays {
		sum = sum.Add(stays)
	}
	return sum
}

// expensed works out what has become an expense, in the order of recording. That is never more than
// the instrument had cost by then: where a cost is taken back later that is in stock no more, it is
// the expense that it lowers, and stock doesn't fall below zero. What is written up again is never
// more than was written down.
func (f File) expensed() expensed {
	e := expensed{stays: make([]money.Amount, len(f.Sales)), written: money.Zero(f.Currency)}
	for i := range f.Sales {
		e.stays[i] = money.Zero(f.Currency)
	}
	value := func(returns int) {
		for _, v := range f.Valuations[len(e.looks):] {
			if v.Returns > returns {
				return
			}
			down := e.bounded(v.WrittenDown(), f.landed(v.On))
			e.looks, e.written = append(e.looks, down), e.written.Add(down)
		}
	}
	for i, x := range f.Sales {
		value(i)
		if r := x.Return; r != nil {
			e.stays[i] = e.bounded(r.CostOfSales.Sub(r.CostBack), f.landed(r.On))
		}
	}
	value(len(f.Sales))
	return e
}

// bounded returns what of an amount becomes an expense after the others, given what the instrument
// had cost by then; below zero where it is written up.
func (e expensed) bounded(a, landed money.Amount) money.Amount {
	switch {
	case a.IsZero():
		return a
	case a.Sign() < 0:
		return larger(a, e.written.Neg())
	}
	return larger(a.Neg(), e.sum().Sub(landed)).Neg()
}

// larger returns the larger of two amounts.
func larger(a, b money.Amount) money.Amount {
	if a.Cmp(b) < 0 {
		return b
	}
	return a
}

// Posted returns the file with those costs alone that count in the books by a day.
func (f File) Posted(by domain.Date) File {
	costs := f.Costs
	f.Costs = nil
	for _, c := range costs {
		if c.PostedOn.Compare(by) <= 0 {
			f.Costs = append(f.Costs, c)
		}
	}
	return f
}

// Unsold returns what the instrument stands at, or would if it were neither sold nor lost.
func (f File) Unsold() money.Amount { return f.landed(domain.Date{}).Sub(f.expensed().sum()) }

// Account works out the account of an instrument.
func (f File) Account() Account {
	zero := money.Zero(f.Currency)
	a := Account{
		Landed: f.landed(domain.Date{}), Carrying: zero, NetSales: zero, Forfeited: zero, Tax: zero,
		Selling: zero, Other: zero, Deposits: zero, CostOfSales: zero, Owed: zero, Borne: zero,
		Lost: zero, InParts: zero,
	}
	e := f.expensed()
	unsold := a.Landed.Sub(e.sum())
	switch a.WrittenDown = e.written; {
	case f.Loss != nil:
		a.InParts = f.Loss.Recovered()
		a.Lost = unsold.Sub(a.InParts)
	case Current(f.Sales) == nil:
		a.Carrying = unsold
	}
	for i, v := range f.Valuations {
		a.Looks = append(a.Looks, Look{v, e.looks[i]})
	}
	for i, x := range f.Sales {
		d := f.deal(x, unsold, e.stays[i])
		a.Deals = append(a.Deals, d)
		a.NetSales, a.Tax = a.NetSales.Add(d.NetSales), a.Tax.Add(d.Tax)
		a.CostOfSales = a.CostOfSales.Add(d.CostOfSales)
		a.Owed, a.Borne = a.Owed.Add(d.Owed), a.Borne.Add(d.Borne)
	}
	for _, d := range f.Deposits {
		a.Deposits, a.Tax = a.Deposits.Add(d.Held()), a.Tax.Add(d.Tax)
		a.Forfeited = a.Forfeited.Add(d.Forfeited.Sub(d.Tax))
	}
	for _, c := range f.Costs {
		switch {
		case c.Inventory || !f.ours(c):
		case cost.IsSelling(c.Purpose):
			a.Selling = a.Selling.Add(c.Amount)
		default:
			a.Other = a.Other.Add(c.Amount)
		}
	}
	a.Margin = a.NetSales.Add(a.Forfeited).Add(a.Borne).Sub(a.CostOfSales).Sub(a.WrittenDown).
		Sub(a.Lost)
	a.Result = a.Margin.Sub(a.Selling).Sub(a.Other)
	return a
}

// deal works out one sale; unsold is what the instrument would stand at if it weren't sold, and
// stays what stays an expense after the return.
func (f File) deal(x Sale, unsold, stays money.Amount) Deal {
	d := Deal{
		Sale: x, Refund: money.Zero(f.Currency), Tax: x.Tax, CostBack: money.Zero(f.Currency),
		AfterSale: unsold.Sub(x.Carrying), Owed: money.Zero(f.Currency), Borne: money.Zero(f.Currency),
	}
	if a := x.Agency; a != nil && x.Return == nil {
		d.Owed, d.Borne = a.Owed(x.Price), a.Borne.Sub(a.BorneTax)
	}
	if r := x.Return; r != nil {
		d.Refund, d.Tax, d.CostBack = r.Refund, r.KeptTax, r.CostBack
		d.AfterSale = stays.Add(r.CostBack).Sub(x.Carrying)
	}
	d.NetSales = x.Price.Sub(d.Refund).Sub(d.Tax).Sub(d.Owed).Sub(d.Borne)
	d.CostOfSales = x.Carrying.Add(d.AfterSale).Sub(d.CostBack)
	d.Margin = d.NetSales.Add(d.Borne).Sub(d.CostOfSales)
	return d
}
