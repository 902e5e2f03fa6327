package stock

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Kind is what a move does.
type Kind string

// The kinds of move.
const (
	Receipt    Kind = "receipt"    // from a supplier, or what was there at the start
	Issue      Kind = "issue"      // to a job, or to whatever the note says
	Return     Kind = "return"     // what an issue didn't need, at what it was issued at
	SentBack   Kind = "sent_back"  // to the supplier, of one receipt
	Count      Kind = "count"      // what was counted; the move is the difference
	Scrap      Kind = "scrap"      // spoilt or thrown away
	Adjustment Kind = "adjustment" // of a value: freight billed later, another price on the bill
	Reversal   Kind = "reversal"   // undoes a move that was entered wrongly
	// Recosting is made and never entered: what moves that took place after a receipt cost otherwise
	// by it, since the receipt was entered late.
	Recosting Kind = "recosting"
)

// Kinds lists every kind that is entered.
var Kinds = []Kind{Receipt, Issue, Return, SentBack, Count, Scrap, Adjustment, Reversal}

// CountsAs says what becomes of what an issue or scrap cost.
type CountsAs string

// What it may become. Empty: a cost of the job; of an issue to no job, of whatever the note says.
const (
	Overhead CountsAs = "overhead" // used in the shop for no job in particular
	// NormalLoss takes the place of what was spoilt or is thrown away, as much as is usual: a cost of
	// the job, or overhead where there is none. AbnormalLoss is what goes beyond that, an expense
	// that is never in stock (IAS 2, paragraph 16).
	NormalLoss   CountsAs = "normal_loss"
	AbnormalLoss CountsAs = "abnormal_loss"
)

// Draft is a move as it is entered.
type Draft struct {
	ID   uuid.UUID
	Part uuid.UUID
	Kind Kind
	// Quantity is in Unit, which is one of the part's two; empty: the unit of stock.
	Quantity *decimal.Decimal
	Unit     string
	Value    *money.Amount
	On       domain.Date // zero: today
	// CountsFrom is the first day on which it may count in the books, where it belongs to something
	// that counts then; zero: none.
	CountsFrom domain.Date
	// Job and Operation are where an issue goes.
	Job       uuid.UUID
	Operation catalogue.Code
	// Of is the move that this one refers to: the issue that a return is of, the receipt that is sent
	// back or adjusted, the move that is reversed. An issue that names a receipt takes its goods, as
	// those that were made for the job; else the oldest go first.
	Of        uuid.UUID
	CountsAs  CountsAs // of an issue or scrap
	Supplier  uuid.UUID
	Reference string // a delivery note, an invoice
	Note      string
}

// Entry is how much of one receipt a move brings to one place or takes from it. What stock holds is
// the sum of all entries in stock; what is out on a move is the sum of all entries that name it.
type Entry struct {
	Layer    uuid.UUID // the receipt, or the count that found it
	OutOn    uuid.UUID // the move that took it out of stock; zero: in stock
	Quantity decimal.Decimal
	Value    money.Amount
}

// Move is a move as it is kept.
type Move struct {
	ID     uuid.UUID
	Part   uuid.UUID
	Number int64 // counts the moves of the part from 1, in the order of recording
	Kind   Kind
	// Quantity and Value are what the move adds to stock, negative where it takes away.
	Quantity decimal.Decimal
	Value    money.Amount
	// Entered and Unit are the quantity as it was entered; nil where none was.
	Entered *decimal.Decimal
	Unit    string
	// Held and HeldValue are what is in stock after the move.
	Held      decimal.Decimal
	HeldValue money.Amount

	On       domain.Date // the day on which it took place
	PostedOn domain.Date // the day on which it counts in the books
	// Job and Operation are where an issue went and a return comes from.
	Job       uuid.UUID
	Operation catalogue.Code
	Of        uuid.UUID
	CountsAs  CountsAs
	Supplier  uuid.UUID
	Reference string
	Note      string

	RecordedBy uuid.UUID
	RecordedAt time.Time
	Entries    []Entry
}

// takesOut reports whether the move took something out of stock that may come back.
func (m Move) takesOut() bool { return m.Quantity.IsNegative() && m.Kind != Reversal }

// Amount returns what the move brings in from outside, wherever it goes: all of an adjustment, and
// not only what of it is still in stock.
func (m Move) Amount() money.Amount {
	sum := money.Zero(m.Value.Currency())
	for _, e := range m.Entries {
		sum = sum.Add(e.Value)
	}
	return sum
}

// inStock returns the entries of stock as lines.
func (m Move) inStock() []valuation.Line {
	var lines []valuation.Line
	for _, e := range m.Entries {
		if e.OutOn == uuid.Nil {
			lines = append(lines, valuation.Line{Layer: e.Layer, Quantity: e.Quantity, Value: e.Value})
		}
	}
	return lines
}
