package postgres

import (
	"fmt"
	"strings"

	"github.com/google/uuid"
)

// query is a statement under construction, with its arguments.
type query struct {
	sql      string
	args     []any
	filtered bool // has a WHERE clause
}

// arg adds an argument and returns its placeholder.
func (q *query) arg(v any) string {
	q.args = append(q.args, v)
	return fmt.Sprintf("$%d", len(q.args))
}

// where adds a condition with AND.
func (q *query) where(condition string) {
	if q.filtered {
		q.sql += " AND " + condition
		return
	}
	q.sql += "\n\tWHERE " + condition
	q.filtered = true
}

// order says how a list is sorted.
type order struct {
	column     string
	tie        string // column that breaks ties; empty: no two rows are equal
	key        string // format that turns Place.Key into the column's value; empty: Place.CreatedAt
	descending bool
}

// byCreation sorts rows oldest first.
var byCreation = order{column: "created_at", tie: "id"}

// pageOfJob returns a page of what belongs to a job, oldest first. columns must call the table p
// and end with the conditions on workshop and job, $1 and $2.
func pageOfJob(columns string, workshop, job uuid.UUID, p Page) *query {
	q := &query{sql: columns, args: []any{workshop, job}, filtered: true}
	q.page(order{column: "p.created_at", tie: "p.id"}, p)
	return q
}

// pageOfInstrument returns a page of what belongs to an instrument, oldest first.
func pageOfInstrument(columns string, workshop, instrument uuid.UUID, p Page) *query {
	q := &query{sql: columns}
	q.where("workshop_id = " + q.arg(workshop) + " AND instrument_id = " + q.arg(instrument))
	q.page(byCreation, p)
	return q
}

// page ends the query with one page in the given order. Without a limit the page is the whole list.
func (q *query) page(o order, p Page) {
	columns, direction, after := []string{o.column}, "", ">"
	if o.tie != "" {
		columns = append(columns, o.tie)
	}
	if o.descending {
		direction, after = " DESC", "<"
	}
	if p.After != nil {
		var place []string
		if o.key == "" {
			place = append(place, q.arg(p.After.CreatedAt))
		} else {
			place = append(place, fmt.Sprintf(o.key, q.arg(p.After.Key)+"::text"))
		}
		if o.tie != "" {
			place = append(place, q.arg(p.After.ID))
		}
		q.where(
			fmt.Sprintf("(%s) %s (%s)", strings.Join(columns, ", "), after, strings.Join(place, ", ")),
		)
	}
	q.sql += "\n\tORDER BY " + strings.Join(columns, direction+", ") + direction
	if p.Limit > 0 {
		// a literal, since the best plan depends on it
		q.sql += fmt.Sprintf("\n\tLIMIT %d", p.Limit)
	}
}
