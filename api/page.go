package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/openapi"

	"github.com/google/uuid"
)

// defaultLimit is the contract's default of the parameter limit.
const defaultLimit = 50

func limitOr(limit openapi.Limit) int {
	if limit == 0 {
		return defaultLimit
	}
	return int(limit)
}

// pageOf reads what page a request asks for. It asks for one row more than the
// page holds, which shows whether there is another page.
func (h *handlers) pageOf(ctx context.Context, cursor openapi.Cursor, limit openapi.Limit) (postgres.Page, error) {
	p := postgres.Page{Limit: limitOr(limit) + 1}
	if cursor == "" {
		return p, nil
	}
	place, err := h.cursors.open(listOf(ctx), cursor)
	if err != nil {
		return p, err
	}
	p.After = &place
	return p, nil
}

// pageRendered is a page ready to be sent; on the last, Next is empty and Link nil.
type pageRendered[M any] struct {
	Items []M
	Next  string
	Link  *string
}

// renderPage cuts the rows that were read down to the page and renders them.
func renderPage[T, M any](ctx context.Context, h *handlers, p postgres.Page, rows []T, place func(T) postgres.Place, render func(T) M) pageRendered[M] {
	var out pageRendered[M]
	if len(rows) == p.Limit {
		rows = rows[:p.Limit-1]
		out.Next = h.cursors.seal(listOf(ctx), place(rows[len(rows)-1]))
		link := nextLink(ctx, "cursor", out.Next)
		out.Link = &link
	}
	out.Items = renderAll(rows, render)
	return out
}

// placeOf is the place of a stored value in a list in order of making.
func placeOf[T any](v app.Versioned[T], id uuid.UUID) postgres.Place {
	return postgres.Place{CreatedAt: v.CreatedAt, ID: id}
}

// renderAll renders each row; no rows give an empty list and not null.
func renderAll[T, M any](rows []T, render func(T) M) []M {
	list := make([]M, 0, len(rows))
	for _, row := range rows {
		list = append(list, render(row))
	}
	return list
}
