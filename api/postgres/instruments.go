package postgres

import (
	"context"
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// InstrumentFilter narrows a list of instruments; empty fields don't restrict it. Texts match the
// beginning of a value and ignore case.
type InstrumentFilter struct {
	Owner  instrument.Ownership
	Kind   catalogue.Kind
	State  instrument.State
	Party  uuid.UUID
	Maker  string
	Serial string // ignores spaces, dots and dashes
	Stock  string
	Find   string // maker, serial or stock number
	Sort   InstrumentSort
}

// InstrumentSort is the order of a list of instruments.
type InstrumentSort string

// The orders of a list of instruments; ties are broken by id. ByEntry is the default.
const (
	ByEntry  InstrumentSort = "entered"
	Newest   InstrumentSort = "newest"
	ByMaker  InstrumentSort = "maker"
	BySerial InstrumentSort = "serial"
	ByStock  InstrumentSort = "stock_number"
)

// Instruments returns a page of instruments.
func (r Reader) Instruments(ctx context.Context, f InstrumentFilter, p Page) (
	[]domain.Versioned[instrument.Instrument], error,
) {
	q := instrumentPage(r.workshop, f, p)
	return many(ctx, r, scanInstrument, q.sql, q.args...)
}

// InstrumentKey returns the key by which an instrument is sorted, as stored; empty if the list is
// sorted by entry.
func InstrumentKey(s InstrumentSort, i instrument.Instrument) string {
	switch s {
	case ByMaker:
		return i.Maker
	case BySerial:
		return i.Serial
	case ByStock:
		return i.StockNumber
	default:
		return ""
	}
}

// These formats turn an argument into the key that a column holds.
const (
	lowerKey  = "lower(%s)"
	serialKey = "lower(regexp_replace(%s, '[^[:alnum:]]', '', 'g'))"
)

// hasPrefix returns the condition that a key column begins with a text. It uses comparisons,
// because row-level security keeps patterns from using an index.
func (q *query) hasPrefix(column, key, text string) string {
	k := fmt.Sprintf(key, q.arg(text)+"::text")
	return fmt.Sprintf("(%s >= %s AND %s < %s || chr(1114111))", column, k, column, k)
}

// instrumentPage builds the query of a page. It contains only the conditions in f, so that each
// combination is planned with its own indexes.
func instrumentPage(workshop uuid.UUID, f InstrumentFilter, p Page) *query {
	q := &query{sql: instrumentColumns}
	q.where("workshop_id = " + q.arg(workshop))
	if f.Owner != "" {
		q.where("owner = " + q.arg(f.Owner))
	}
	if f.Kind != "" {
		q.where("kind = " + q.arg(f.Kind))
	}
	if f.State != "" {
		q.where("state = " + q.arg(f.State))
	}
	if f.Party != uuid.Nil {
		q.where("party_id = " + q.arg(f.Party))
	}
	if f.Maker != "" {
		q.where(q.hasPrefix("maker_key", lowerKey, f.Maker))
	}
	if f.Serial != "" {
		q.where(q.hasPrefix("serial_key", serialKey, f.Serial))
	}
	if f.Stock != "" {
		q.where(q.hasPrefix("stock_key", lowerKey, f.Stock))
	}
	if f.Find != "" {
		q.where("(" + q.hasPrefix("maker_key", lowerKey, f.Find) + " OR " + q.hasPrefix(
			"serial_key", serialKey, f.Find,
		) +
			" OR " + q.hasPrefix("stock_key", lowerKey, f.Find) + ")")
	}
	q.page(sortOrder(f.Sort), p)
	return q
}

// sortOrder returns the order for a sort.
func sortOrder(s InstrumentSort) order {
	o := order{column: "created_at", tie: "id", descending: s == Newest}
	switch s {
	case ByMaker:
		o.column, o.key = "maker_key", lowerKey
	case BySerial:
		o.column, o.key = "serial_key", serialKey
	case ByStock:
		o.column, o.key = "stock_key", lowerKey
	case ByEntry, Newest:
	}
	return o
}
