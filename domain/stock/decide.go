package stock

import (
	"errors"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/job"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Before is everything that decides on a move: how the part stands, and what the move refers to.
type Before struct {
	Part  Part
	Stock valuation.Stock
	Moves int64 // how many there are
	// HeldThen is what was held at the end of the day of the move, and LeastHeld the least at the end
	// of that day or a later one.
	HeldThen, LeastHeld decimal.Decimal
	// LastReceipt is the newest receipt; nil: none yet.
	LastReceipt *Move
	Books       books.Books
	Today       domain.Date
	// BeganOn is the day on which the books were opened with what there was of the part; zero: they
	// weren't.
	BeganOn domain.Date
	// Job is the one that is named, or that the move named goes to; nil: none.
	Job *job.Job
	// Of is the move that is named; nil: none of this part. Reversed says whether it was reversed.
	Of       *Move
	Reversed bool
	// Out is what is out on Of, receipt by receipt in the order in which it was taken.
	Out []valuation.Line
	// Gone is what is out of the receipt Of, move by move, and LayerCost what the receipt has cost,
	// with all adjustments so far.
	Gone      []Gone
	LayerCost money.Amount
}

// Gone is how much of a receipt is out on a move.
type Gone struct {
	OutOn    uuid.UUID
	Quantity decimal.Decimal
}

// Decide returns the move that a draft asks for, and the stock after it. A draft that breaks a rule
// is an Invalid Fault; one that how things stand forbids is a Conflict Fault, with the field that
// it is about.
func Decide(b Before, d Draft) (Move, valuation.Stock, error) {
	if d.On.IsZero() {
		d.On = b.Today
	}
	units, err := d.check(b)
	if err != nil {
		return Move{}, b.Stock, err
	}
	m := Move{
		ID: d.ID, Part: b.Part.ID, Number: b.Moves + 1, Kind: d.Kind, Entered: d.Quantity, Unit: d.Unit,
		On: d.On, PostedOn: b.Books.PostingDay(d.On, d.CountsFrom), Job: d.Job, Operation: d.Operation,
		Of: d.Of, CountsAs: d.CountsAs, Supplier: d.Supplier, Reference: d.Reference, Note: d.Note,
	}
	if m.Entered != nil && m.Unit == "" {
		m.Unit = b.Part.Unit
	}
	if b.Of != nil {
		m.PostedOn = b.Books.PostingDay(d.On, d.CountsFrom, b.Of.PostedOn)
	}
	if b.Of != nil && d.Kind != Issue {
		m.Job, m.Operation = b.Of.Job, b.Of.Operation
		if m.Supplier == uuid.Nil {
			m.Supplier = b.Of.Supplier
		}
	}
	after, entries, err := b.effect(d, units)
	if err != nil {
		return Move{}, b.Stock, refusal(err, d, b)
	}
	m.Entries, m.Held, m.HeldValue = entries, after.Quantity(), after.Value()
	m.Quantity, m.Value = valuation.Total(after.Value().Currency(), m.inStock())
	return m, after, b.checkAfter(d, m)
}

// Then returns how things stand after a receipt, for another move of the same part on the same day.
func (b Before) Then(m Move, after valuation.Stock) Before {
	b.Stock, b.Moves = after, m.Number
	b.HeldThen, b.LeastHeld = b.HeldThen.Add(m.Quantity), b.LeastHeld.Add(m.Quantity)
	return b
}

// effect returns the stock after a draft, of a quantity in units of stock, and the entries of the
// move.
func (b Before) effect(d Draft, units decimal.Decimal) (valuation.Stock, []Entry, error) {
	switch d.Kind {
	case Receipt:
		after, lines, err := b.Stock.Receive(d.ID, units, *d.Value)
		return after, inStock(lines), err
	case Issue, Scrap:
		if d.Of != uuid.Nil {
			after, lines, err := b.Stock.TakeFrom(d.Of, units)
			return after, movedOut(lines, d.ID), err
		}
		after, lines, err := b.Stock.Take(units)
		return after, movedOut(lines, d.ID), err
	case SentBack:
		after, lines, err := b.Stock.TakeFrom(d.Of, units)
		return after, movedOut(lines, d.ID), err
	case Return:
		after, lines, err := b.Stock.PutBack(b.Out, units)
		return after, movedOut(lines, d.Of), err
	case Count:
		return b.count(d, units)
	case Adjustment:
		return b.adjust(d)
	case Reversal:
		return b.reverse()
	case Recosting: // nobody enters one
	}
	return b.Stock, nil, domain.Refuse(domain.Invalid, "unknown kind of move %q", d.Kind)
}

// count books the difference between what was counted and what should have been there that day.
// What is missing goes as an issue does. What turns up costs the mean of what is held; where
// nothing is held, what the last receipt cost; and where there never was one, what the draft says.
func (b Before) count(d Draft, counted decimal.Decimal) (valuation.Stock, []Entry, error) {
	difference := counted.Sub(b.HeldThen)
	switch difference.Sign() {
	case 0:
		return b.Stock, nil, nil
	case -1:
		after, lines, err := b.Stock.Take(difference.Neg())
		return after, movedOut(lines, d.ID), err
	}
	value, err := b.worth(d, difference)
	if err != nil {
		return b.Stock, nil, err
	}
	after, lines, err := b.Stock.Receive(d.ID, difference, value)
	return after, inStock(lines), err
}

func (b Before) worth(d Draft, q decimal.Decimal) (money.Amount, error) {
	var none *valuation.ShortError
	value, err := b.Stock.Worth(q)
	switch {
	case errors.As(err, &none) && b.LastReceipt != nil:
		last := b.LastReceipt
		c := last.Value.Currency()
		value, err = money.Round(
			last.Value.Decimal().Mul(q).DivRound(last.Quantity, c.Decimals()), c, money.HalfUp,
		)
	case errors.As(err, &none) && d.Value != nil:
		return *d.Value, nil
	case errors.As(err, &none):
		return value, domain.RefuseAt(domain.Invalid, "#/value", "must say what they cost, since none was ever received")
	}
	if err == nil && d.Value != nil {
		return value, domain.RefuseAt(domain.Invalid, "#/value", "must be left out, since what is known puts them at %s", value)
	}
	return value, err
}

// adjust shares an amount out over what is left of the receipt and what is out of it.
func (b Before) adjust(d Draft) (valuation.Stock, []Entry, error) {
	gone := make([]decimal.Decimal, len(b.Gone))
	for i, g := range b.Gone {
		gone[i] = g.Quantity
	}
	after, line, parts, err := b.Stock.Adjust(d.Of, *d.Value, gone)
	if err != nil {
		return after, nil, err
	}
	entries := inStock([]valuation.Line{line})
	for i, part := range parts {
		entries = append(entries, Entry{Layer: d.Of, OutOn: b.Gone[i].OutOn, Value: part})
	}
	return after, entries, nil
}

// reverse undoes a move. What it took out comes back as it is by now, of which receipts and at
// which cost, since a late receipt or freight may have changed that.
func (b Before) reverse() (valuation.Stock, []Entry, error) {
	if b.Of.takesOut() {
		after, lines, err := b.Stock.PutBack(b.Out, b.Of.Quantity.Neg())
		return after, movedOut(lines, b.Of.ID), err
	}
	after, _, err := b.Stock.Reverse(b.Of.inStock())
	return after, opposite(b.Of.Entries), err
}

// inStock returns the entries of lines that come from outside or go there.
func inStock(lines []valuation.Line) []Entry {
	entries := make([]Entry, len(lines))
	for i, l := range lines {
		entries[i] = Entry{Layer: l.Layer, Quantity: l.Quantity, Value: l.Value}
	}
	return entries
}

// movedOut returns the entries of lines between stock and what is out on a move.
func movedOut(lines []valuation.Line, on uuid.UUID) []Entry {
	entries := inStock(lines)
	for _, l := range lines {
		entries = append(entries, Entry{
			Layer: l.Layer, OutOn: on, Quantity: l.Quantity.Neg(), Value: l.Value.Neg(),
		})
	}
	return entries
}

func opposite(entries []Entry) []Entry {
	out := make([]Entry, len(entries))
	for i, e := range entries {
		out[i] = Entry{
			Layer: e.Layer, OutOn: e.OutOn, Quantity: e.Quantity.Neg(), Value: e.Value.Neg(),
		}
	}
	return out
}
