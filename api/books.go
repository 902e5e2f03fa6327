package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/books"
	"bentside/openapi"
)

// GetBooks shows how far the books are closed.
func (h *handlers) GetBooks(
	ctx context.Context, _ GetBooksRequestObject,
) (GetBooksResponseObject, error) {
	b, err := h.app.Books(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	body := openapi.Books{
		ClosedThrough: convert.DayOrEmpty(b.ClosedThrough), FirstOpenDay: convert.DayOrEmpty(b.FirstOpen),
	}
	tag, err := etag.Digest(body)
	return GetBooks200JSONResponse{
		Body: body, Headers: GetBooks200ResponseHeaders{ETag: tag},
	}, err
}

// ListBookClosings lists a page of the closings and reopenings of the books.
func (h *handlers) ListBookClosings(
	ctx context.Context, r ListBookClosingsRequestObject,
) (ListBookClosingsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).BookClosings(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfBookClosing)
	return ListBookClosings200JSONResponse{
		Body: openapi.BookClosingPage{
			Items: convert.All(rows, renderBookClosing), NextCursor: next.Cursor,
		},
		Headers: ListBookClosings200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfBookClosing(c books.Closing) postgres.Place {
	return postgres.Place{CreatedAt: c.RecordedAt, ID: c.ID}
}

// CloseBooks closes the books through a day.
func (h *handlers) CloseBooks(
	ctx context.Context, r CloseBooksRequestObject,
) (CloseBooksResponseObject, error) {
	through, err := convert.ParseDay(r.Body.Through)
	if err != nil {
		return nil, err
	}
	c, err := h.app.CloseBooks(ctx, middleware.Actor(ctx), books.Closing{
		Through: through, Note: r.Body.Note,
	})
	return CloseBooks201JSONResponse(renderBookClosing(c)), err
}

// ReopenBooks opens the books again from a day on.
func (h *handlers) ReopenBooks(
	ctx context.Context, r ReopenBooksRequestObject,
) (ReopenBooksResponseObject, error) {
	from, err := convert.ParseDay(r.Body.From)
	if err != nil {
		return nil, err
	}
	through, err := convert.ParseDay(r.Body.Through)
	if err != nil {
		return nil, err
	}
	c, err := h.app.ReopenBooks(ctx, middleware.Actor(ctx), books.Closing{
		From: from, Through: through, Note: r.Body.Why,
	})
	return ReopenBooks201JSONResponse(renderBookClosing(c)), err
}

func renderBookClosing(c books.Closing) openapi.BookClosing {
	return openapi.BookClosing{
		ID: c.ID, Kind: openapi.BookClosingKind(c.Kind), From: convert.DayOrEmpty(c.From),
		Through: c.Through.String(), ClosedThrough: c.ClosedThrough.String(), Note: c.Note,
		RecordedBy: c.RecordedBy, RecordedAt: c.RecordedAt,
	}
}
