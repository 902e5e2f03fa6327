package cost

import (
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// SourceKind says what kind of record a line comes from.
type SourceKind string

// The sources of lines.
const (
	TimeEntry   SourceKind = "time_entry"
	StockMove   SourceKind = "stock_move"
	OfADocument SourceKind = "document"
	AnOffer     SourceKind = "offer"   // the one by which the instrument was bought
	OldRecords  SourceKind = "opening" // of a job that was taken over; its id is the source's
	// CorrectedRates are those by which posted hours were costed anew.
	CorrectedRates SourceKind = "rate_correction"
	// SupplierBill is a bill or a credit note that is shared over instruments, and SupplierPayment
	// a payment of it with a discount.
	SupplierBill    SourceKind = "supplier_bill"
	SupplierPayment SourceKind = "supplier_payment"
	// DisposedOverhead is under- or over-applied overhead that was prorated.
	DisposedOverhead SourceKind = "overhead_disposition"
)

// Line is one amount that an instrument has cost, or that is taken back of it.
type Line struct {
	ID         uuid.UUID
	Instrument uuid.UUID
	// Job and Operation are the task that it belongs to; zero and empty: the instrument as a whole.
	Job       uuid.UUID
	Operation catalogue.Code
	Kind      Kind
	Purpose   Purpose
	Amount    money.Amount
	// Minutes and Rate, per hour, are those of a line of hours.
	Minutes int
	Rate    *decimal.Decimal
	// Quantity and Unit are those of parts.
	Quantity *decimal.Decimal
	Unit     string

	On       domain.Date // the day on which it took place
	PostedOn domain.Date // the day on which it counts in the books
	// Source and SourceID are the record that it comes from, Number counts the lines of that from 1.
	Source   SourceKind
	SourceID uuid.UUID
	Number   int
	// Origin is the record that the line adds to or takes from: the first entry, the issue, the
	// document. It is the source where that is the first itself.
	Origin uuid.UUID

	RecordedBy uuid.UUID
	RecordedAt time.Time
}

// Inventory reports whether the inventory view counts the line.
func (l Line) Inventory() bool { return InInventory(l.Kind, l.Purpose) }

// empty reports whether the line says nothing.
func (l Line) empty() bool {
	return l.Amount.IsZero() && l.Minutes == 0 && (l.Quantity == nil || l.Quantity.IsZero())
}

// numbered returns the lines that say something, numbered from 1.
func numbered(lines []Line) []Line {
	kept := lines[:0]
	for _, l := range lines {
		if !l.empty() {
			l.Number = len(kept) + 1
			kept = append(kept, l)
		}
	}
	return kept
}

// later returns the later of two days.
func later(a, b domain.Date) domain.Date {
	if a.Compare(b) < 0 {
		return b
	}
	return a
}
