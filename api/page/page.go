package page

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/openapi"

	"github.com/google/uuid"
)

// defaultLimit is the contract's default for the parameter limit.
const defaultLimit = 50

// Limit returns the limit that a request asks for, or the default.
func Limit(limit openapi.Limit) int {
	if limit == 0 {
		return defaultLimit
	}
	return int(limit)
}

// Read returns the page that a request asks for. Its limit is one more than the page holds, which
// shows whether another page follows.
func (c Cursors) Read(
	ctx context.Context, cursor openapi.Cursor, limit openapi.Limit,
) (postgres.Page, error) {
	p := postgres.Page{Limit: Limit(limit) + 1}
	if cursor == "" {
		return p, nil
	}
	place, err := c.open(listOf(ctx), cursor)
	if err != nil {
		return p, err
	}
	p.After = &place
	return p, nil
}

// Next leads to the next page; on the last page, Cursor is empty and Link nil.
type Next struct {
	Cursor string
	Link   *string
}

// Cut returns the rows of a page, out of those that were read for it, and what leads to the next.
func Cut[T any](
	ctx context.Context, c Cursors, p postgres.Page, rows []T, place func(T) postgres.Place,
) ([]T, Next) {
	if len(rows) < p.Limit {
		return rows, Next{}
	}
	rows = rows[:p.Limit-1]
	cursor := c.seal(listOf(ctx), place(rows[len(rows)-1]))
	link := Link(ctx, "cursor", cursor)
	return rows, Next{Cursor: cursor, Link: &link}
}

// PlaceOf returns the position of a stored value in a list ordered by creation.
func PlaceOf[T any](v app.Versioned[T], id uuid.UUID) postgres.Place {
	return postgres.Place{CreatedAt: v.CreatedAt, ID: id}
}
