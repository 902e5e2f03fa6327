package postgres

import (
	"context"
	"fmt"
	"strings"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// InstrumentFilter narrows a list of instruments; an empty field does not. The
// texts are what a value begins with, in any case.
type InstrumentFilter struct {
	Owner  domain.Ownership
	Kind   catalogue.Kind
	State  domain.State
	Party  uuid.UUID
	Maker  string
	Serial string // spaces, dots and dashes don't count
	Stock  string
	Find   string // what maker, serial or stock number begins with
	Sort   InstrumentSort
}

// InstrumentSort is the order of a list of instruments.
type InstrumentSort string

// The orders of a list of instruments; ties go by id. ByEntry is the order if
// none is named.
const (
	ByEntry  InstrumentSort = "entered"
	Newest   InstrumentSort = "newest"
	ByMaker  InstrumentSort = "maker"
	BySerial InstrumentSort = "serial"
	ByStock  InstrumentSort = "stock_number"
)

// Instruments lists a page of instruments.
func (r Reader) Instruments(ctx context.Context, f InstrumentFilter, p Page) ([]domain.Versioned[domain.Instrument], error) {
	q := instrumentPage(r.workshop, f, p)
	return many(ctx, r, scanInstrument, q.sql, q.args...)
}

// InstrumentKey is what an instrument is ordered by in a list sorted so, as
// its column has it; empty where the order is that of entry.
func InstrumentKey(s InstrumentSort, i domain.Instrument) string {
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

// query is a statement with its arguments.
type query struct {
	sql  string
	args []any
}

// arg adds an argument and gives its placeholder.
func (q *query) arg(v any) string {
	q.args = append(q.args, v)
	return fmt.Sprintf("$%d", len(q.args))
}

// The keys as their columns hold them, of an argument.
const (
	plainKey  = "lower(%s)"
	serialKey = "lower(regexp_replace(%s, '[^[:alnum:]]', '', 'g'))"
)

// begins is the condition that a key begins with a text. It compares by order:
// row-level security lets no pattern into an index.
func (q *query) begins(column, key, text string) string {
	k := fmt.Sprintf(key, q.arg(text)+"::text")
	return fmt.Sprintf("(%s >= %s AND %s < %s || chr(1114111))", column, k, column, k)
}

// instrumentPage writes the query of a page: only the conditions that are
// asked for, so that each combination is planned by its own indexes.
func instrumentPage(workshop uuid.UUID, f InstrumentFilter, p Page) *query {
	q := &query{}
	where := []string{"workshop_id = " + q.arg(workshop)}
	add := func(condition string) { where = append(where, condition) }
	if f.Owner != "" {
		add("owner = " + q.arg(f.Owner))
	}
	if f.Kind != "" {
		add("kind = " + q.arg(f.Kind))
	}
	if f.State != "" {
		add("state = " + q.arg(f.State))
	}
	if f.Party != uuid.Nil {
		add("party_id = " + q.arg(f.Party))
	}
	if f.Maker != "" {
		add(q.begins("maker_key", plainKey, f.Maker))
	}
	if f.Serial != "" {
		add(q.begins("serial_key", serialKey, f.Serial))
	}
	if f.Stock != "" {
		add(q.begins("stock_key", plainKey, f.Stock))
	}
	if f.Find != "" {
		add("(" + q.begins("maker_key", plainKey, f.Find) + " OR " + q.begins("serial_key", serialKey, f.Find) +
			" OR " + q.begins("stock_key", plainKey, f.Find) + ")")
	}
	order := q.page(f.Sort, p, add)
	q.sql = instrumentColumns + "\n\tWHERE " + strings.Join(where, "\n\t  AND ") + "\n\tORDER BY " + order + "\n\tLIMIT " + q.arg(p.Limit)
	return q
}

// page adds where a page begins and gives the order of its rows.
func (q *query) page(s InstrumentSort, p Page, add func(string)) string {
	column, key := "created_at", "%s"
	switch s {
	case ByMaker:
		column, key = "maker_key", plainKey
	case BySerial:
		column, key = "serial_key", serialKey
	case ByStock:
		column, key = "stock_key", plainKey
	case ByEntry, Newest:
	}
	direction, after := "", ">"
	if s == Newest {
		direction, after = " DESC", "<"
	}
	if p.After != nil {
		var place string
		if column == "created_at" {
			place = q.arg(p.After.CreatedAt)
		} else {
			place = fmt.Sprintf(key, q.arg(p.After.Key)+"::text")
		}
		add(fmt.Sprintf("(%s, id) %s (%s, %s)", column, after, place, q.arg(p.After.ID)))
	}
	return column + direction + ", id" + direction
}
