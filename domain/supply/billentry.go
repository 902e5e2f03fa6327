package supply

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// entry is a bill while it is entered.
type entry struct {
	bill        *Bill
	ledger      Ledger
	faults      *domain.Faults
	after       map[uuid.UUID]Received
	value       map[uuid.UUID]money.Amount // of the bill's own lines, by receipt
	adjustments []Adjustment
	acquired    []Acquired
	at          map[uuid.UUID]int // where in adjustments
}

// ownLines returns the arrivals that the bill has lines about, with their weights.
func (e *entry) ownLines() []Share {
	var over []Share
	for _, x := range e.bill.Lines {
		i := slices.IndexFunc(over, func(s Share) bool { return s.Receipt == x.Receipt })
		switch {
		case i < 0:
			over = append(over, Share{Receipt: x.Receipt, Weight: x.Weight})
		case x.Weight != nil && over[i].Weight != nil:
			sum := over[i].Weight.Add(*x.Weight)
			over[i].Weight = &sum
		}
	}
	return over
}

// convert works out what each line is in the workshop's currency. A line is the step of a running
// total, so that the lines add up to the net of the bill converted once.
func (e *entry) convert() error {
	b, running := e.bill, money.Zero(e.bill.Currency)
	before := money.Zero(e.ledger.Home)
	step := func(a money.Amount) (money.Amount, error) {
		running = running.Add(a)
		total, err := b.Terms.Home(running, e.ledger.Home)
		if err != nil {
			return before, domain.RefuseAt(domain.Invalid, "#/total/amount", "would be too much: %v", err)
		}
		home := total.Sub(before)
		before = total
		return home, nil
	}
	var err error
	for i := range b.Lines {
		x := &b.Lines[i]
		if x.Home, err = step(x.Amount); err != nil {
			return err
		}
		sum, there := e.value[x.Receipt]
		if !there {
			sum = money.Zero(e.ledger.Home)
		}
		e.value[x.Receipt] = sum.Add(x.Home)
	}
	for i := range b.Shared {
		if b.Shared[i].Home, err = step(b.Shared[i].Amount); err != nil {
			return err
		}
	}
	b.HomeNet = before
	return nil
}

// received returns an arrival as the lines before left it.
func (e *entry) received(receipt uuid.UUID) Received {
	if r, ok := e.after[receipt]; ok {
		return r
	}
	return e.ledger.Received[receipt]
}

// line enters a line: what was accrued goes, what was billed comes, and the difference follows.
func (e *entry) line(i int) error {
	x := &e.bill.Lines[i]
	r := e.received(x.Receipt)
	unit := e.ledger.Parts[r.Part].Unit
	x.Accrued = money.Zero(e.ledger.Home)
	switch at := fmt.Sprintf("#/lines/%d/quantity", i); x.Kind {
	case Allowance:
		e.adjust(r, x.Home.Neg(), decimal.Zero, decimal.Zero, "allowance")
	case GoneBack:
		left := decimal.Min(r.Returned, r.Billed).Sub(r.Credited)
		if x.Units.GreaterThan(left) {
			return domain.RefuseAt(domain.Conflict, at,
				"only %s %s went back and were billed and not credited yet", left, unit)
		}
		was := r
		r.Credited = r.Credited.Add(x.Units)
		x.Accrued = r.worth(r.Credited).Sub(r.worth(was.Credited))
	case Goods:
		if left := r.Units.Sub(r.Billed); x.Units.GreaterThan(left) {
			return domain.RefuseAt(domain.Conflict, at, "only %s %s were delivered and not billed", left, unit)
		}
		was := r
		r.Billed = r.Billed.Add(x.Units)
		x.Accrued = r.worth(r.Billed).Sub(r.worth(was.Billed))
		back := was.billedBack(r.Billed).Sub(was.billedBack(was.Billed))
		e.adjust(r, x.Home.Sub(x.Accrued), x.Units.Sub(back), back, "price")
	}
	e.after[x.Receipt] = r
	return nil
}

// billedBack returns how many of so many billed units went back: those that aren't kept.
func (r Received) billedBack(billed decimal.Decimal) decimal.Decimal {
	return decimal.Max(billed.Sub(r.Units.Sub(r.Returned)), decimal.Zero)
}

// share shares an amount over its arrivals and instruments.
func (e *entry) share(i int) error {
	x := &e.bill.Shared[i]
	weights := make([]decimal.Decimal, len(x.Over))
	for j, s := range x.Over {
		if err := e.mayBear(*x, s, fmt.Sprintf("#/shared/%d/over/%d/instrument", i, j)); err != nil {
			return err
		}
		weights[j] = e.weight(*x, s)
	}
	parts, err := x.Home.Split(weights)
	if err != nil {
		return domain.RefuseAt(domain.Invalid, fmt.Sprintf("#/shared/%d/over", i), "%v", err)
	}
	for j := range x.Over {
		x.Over[j].Home = parts[j]
		amount := parts[j]
		if e.bill.Credits != uuid.Nil {
			amount = amount.Neg()
		}
		if id := x.Over[j].Instrument; id != uuid.Nil {
			e.acquire(id, x.Kind, amount)
			continue
		}
		r := e.received(x.Over[j].Receipt)
		e.after[r.Receipt] = r
		e.adjust(r, amount, decimal.Zero, decimal.Zero, string(x.Kind))
	}
	return nil
}

// weight returns the weight of an arrival in a shared amount: of the bill's own lines what they are
// billed at, of others what the order says. The value of an instrument is what it was bought for.
func (e *entry) weight(x Shared, s Share) decimal.Decimal {
	r := e.received(s.Receipt)
	switch {
	case x.By == ByWeight:
		return *s.Weight
	case x.By == Equally || x.By == ByQuantity && s.Instrument != uuid.Nil:
		return decimal.NewFromInt(1)
	case x.By == ByQuantity:
		return e.quantity(r)
	case s.Instrument != uuid.Nil:
		return e.ledger.Bought[s.Instrument].Price.Decimal()
	}
	if own, ok := e.value[s.Receipt]; ok {
		return own.Decimal()
	}
	return r.Value.Decimal()
}

// quantity returns how many units of an arrival the bill has lines about, else how many came.
func (e *entry) quantity(r Received) decimal.Decimal {
	sum := decimal.Zero
	for _, x := range e.bill.Lines {
		if x.Receipt == r.Receipt {
			sum = sum.Add(x.Units)
		}
	}
	if sum.IsZero() {
		return r.Units
	}
	return sum
}

// adjust notes what an arrival costs more. It follows what was kept; the share of what went back
// stands apart, and all of it where nothing was kept.
func (e *entry) adjust(r Received, a money.Amount, kept, back decimal.Decimal, why string) {
	if a.IsZero() {
		return
	}
	i, there := e.at[r.Receipt]
	if !there {
		i = len(e.adjustments)
		e.at[r.Receipt] = i
		zero := money.Zero(e.ledger.Home)
		e.adjustments = append(e.adjustments, Adjustment{
			Receipt: r.Receipt, Part: r.Part, Amount: zero, Apart: zero,
		})
	}
	x := &e.adjustments[i]
	if !slices.Contains(x.Why, why) {
		x.Why = append(x.Why, why)
	}
	follows, apart := a, money.Zero(e.ledger.Home)
	switch {
	case r.Returned.Equal(r.Units):
		follows, apart = apart, a
	case back.IsPositive():
		parts, err := a.Split([]decimal.Decimal{kept, back})
		if err == nil { // two weights that aren't negative always split
			follows, apart = parts[0], parts[1]
		}
	}
	x.Amount, x.Apart = x.Amount.Add(follows), x.Apart.Add(apart)
}
