package sale

import (
	"fmt"
	"time"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// CounterSale is that parts were sold over the counter, kept for good. Each line leaves stock by an
// issue to no job, at what its class says that it costs.
type CounterSale struct {
	ID         uuid.UUID
	Buyer      uuid.UUID // zero: nobody in particular
	Lines      []CounterLine
	Regime     domain.TaxRegime
	Rate       decimal.Decimal // of the tax, a share; 0 without one
	Price, Tax money.Amount    // of all lines; the price includes the tax
	Reference  string          // of our paper
	On         domain.Date
	PostedOn   domain.Date // the day on which it counts in the books
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
	Returns    []CounterReturn // in the order of recording
}

// CounterLine is what of one part was sold.
type CounterLine struct {
	Number   int // counts the lines of the sale from 1
	Part     uuid.UUID
	Quantity decimal.Decimal // in Unit, which is one of the part's two
	Unit     string
	Price    money.Amount // for all of the line, tax included
	Tax      money.Amount // its share of the tax of the sale
	Issue    uuid.UUID    // by which it left stock
	// Cost is what it costs as far as is known now, less what came back; nil: not looked up.
	Cost *money.Amount
}

// CounterReturn is that goods of a counter sale came back fit to be sold. They go into stock at
// what they were issued at, and their share of the price is refunded.
type CounterReturn struct {
	ID         uuid.UUID
	Sale       uuid.UUID
	Lines      []CounterBack
	On         domain.Date
	PostedOn   domain.Date
	Note       string
	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// CounterBack is how much of a line came back.
type CounterBack struct {
	Line        int
	Quantity    decimal.Decimal // in the unit of the line
	Refund, Tax money.Amount    // what is refunded, and the tax in it that falls away
	Move        uuid.UUID       // by which it came into stock
}

// CounterSetting is what a counter sale is checked against.
type CounterSetting struct {
	Terms    domain.Terms // the workshop's
	Currency money.Currency
	Books    books.Books
	Today    domain.Date
}

// maxCounterLines is the most lines of a counter sale or a return.
const maxCounterLines = 100

// Sell checks a counter sale and completes it. The whole price is taxed, at the rate of the
// workshop, where it charges any tax; the tax is worked out once and shared by price. What a part
// costs, and whether there is enough of it, is for the stock to say.
func (x CounterSale) Sell(s CounterSetting) (CounterSale, error) {
	if x.On.IsZero() {
		x.On = s.Today
	}
	x.PostedOn = s.Books.PostingDay(x.On)
	var f domain.Faults
	f.CheckHappened("#/on", x.On, s.Today)
	f.CheckLength("#/reference", x.Reference, domain.MaxName)
	f.CheckLength("#/note", x.Note, domain.MaxText)
	if n := len(x.Lines); n == 0 || n > maxCounterLines {
		f.Add("#/lines", "must be 1 to %d parts", maxCounterLines)
	}
	for i := range x.Lines {
		l, at := &x.Lines[i], fmt.Sprintf("#/lines/%d", i)
		l.Number = i + 1
		if l.Part == uuid.Nil {
			f.Add(at+"/part", "must name a part")
		}
		checkAmount(&f, at+"/price", l.Price, s.Currency, true)
	}
	if err := f.Err(); err != nil {
		return x, err
	}
	x.Price = money.Zero(s.Currency)
	weights := make([]decimal.Decimal, len(x.Lines))
	for i, l := range x.Lines {
		x.Price, weights[i] = x.Price.Add(l.Price), l.Price.Decimal()
	}
	if x.Price.Minor() > mostMinor {
		return x, domain.RefuseAt(domain.Invalid, "#/lines", "%s in all is too much", x.Price)
	}
	x.Regime = domain.StandardTax
	if s.Terms.TaxRegime == domain.NoTax {
		x.Regime = domain.NoTax
	}
	tax, err := pricing.TaxRule{Regime: x.Regime.Pricing(), Rate: s.Terms.TaxRate}.
		OnSale(x.Price, money.Zero(s.Currency))
	if err != nil {
		return x, err
	}
	x.Rate, x.Tax = tax.Rate, tax.Due
	shares, err := x.Tax.Split(weights)
	for i := range shares {
		x.Lines[i].Tax = shares[i]
	}
	return x, err
}

// TakeBack checks that goods of a sale came back and works out what is refunded: of each line what
// the price of all that has come back so far comes to, less what was refunded before, so that a
// line that has come back whole is refunded whole.
func (x CounterSale) TakeBack(r CounterReturn, s CounterSetting) (CounterReturn, error) {
	r.Sale = x.ID
	if r.On.IsZero() {
		r.On = s.Today
	}
	r.PostedOn = s.Books.PostingDay(r.On, x.PostedOn)
	var f domain.Faults
	f.CheckHappened("#/on", r.On, s.Today)
	checkNotBefore(&f, r.On, x.On, "its sale")
	f.CheckLength("#/note", r.Note, domain.MaxText)
	if n := len(r.Lines); n == 0 || n > maxCounterLines {
		f.Add("#/lines", "must be 1 to %d lines", maxCounterLines)
	}
	listed := map[int]bool{}
	for i := range r.Lines {
		b, at := &r.Lines[i], fmt.Sprintf("#/lines/%d", i)
		switch {
		case b.Line < 1 || b.Line > len(x.Lines):
			f.Add(at+"/line", "must be a line of the sale, 1 to %d, not %d", len(x.Lines), b.Line)
		case listed[b.Line]:
			f.Add(at+"/line", "must be listed once")
		case !b.Quantity.IsPositive():
			f.Add(at+"/quantity", "must be more than 0, not %s", b.Quantity)
		default:
			l, before := x.Lines[b.Line-1], x.back(b.Line)
			if left := l.Quantity.Sub(before.Quantity); b.Quantity.GreaterThan(left) {
				f.Add(at+"/quantity", "must be at most %s %s, what hasn't come back, not %s", left, l.Unit,
					b.Quantity)
			} else if err := b.refund(l, before); err != nil {
				return r, err
			}
		}
		listed[b.Line] = true
	}
	return r, f.Err()
}

// back returns what of a line has come back so far.
func (x CounterSale) back(line int) CounterBack {
	zero := money.Zero(x.Price.Currency())
	sum := CounterBack{Line: line, Refund: zero, Tax: zero}
	for _, r := range x.Returns {
		for _, b := range r.Lines {
			if b.Line == line {
				sum.Quantity = sum.Quantity.Add(b.Quantity)
				sum.Refund, sum.Tax = sum.Refund.Add(b.Refund), sum.Tax.Add(b.Tax)
			}
		}
	}
	return sum
}

// refund works out what is refunded for more of a line, given what came back before. Tax follows
// what is refunded of the price, so that no refund holds more tax than money.
func (b *CounterBack) refund(l CounterLine, before CounterBack) error {
	back := before.Quantity.Add(b.Quantity)
	price, err := l.Price.Split([]decimal.Decimal{back, l.Quantity.Sub(back)})
	if err != nil {
		return err
	}
	tax, err := l.Tax.Split([]decimal.Decimal{price[0].Decimal(), price[1].Decimal()})
	if err != nil {
		return err
	}
	b.Refund, b.Tax = price[0].Sub(before.Refund), tax[0].Sub(before.Tax)
	return nil
}

// CounterSums is what a counter sale comes to as far as is known now.
type CounterSums struct {
	Refund, Tax                   money.Amount // Tax is that of what wasn't refunded
	NetSales, CostOfSales, Margin money.Amount
}

// Sums works out what a counter sale comes to, given what its lines cost.
func (x CounterSale) Sums() CounterSums {
	zero := money.Zero(x.Price.Currency())
	s := CounterSums{Refund: zero, Tax: x.Tax, CostOfSales: zero}
	for _, l := range x.Lines {
		if l.Cost != nil {
			s.CostOfSales = s.CostOfSales.Add(*l.Cost)
		}
		back := x.back(l.Number)
		s.Refund, s.Tax = s.Refund.Add(back.Refund), s.Tax.Sub(back.Tax)
	}
	s.NetSales = x.Price.Sub(s.Refund).Sub(s.Tax)
	s.Margin = s.NetSales.Sub(s.CostOfSales)
	return s
}
