package api

import (
	"context"
	"net/http"
	"strconv"

	"bentside/api/convert"
	"bentside/api/media"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/stock"
	"bentside/openapi"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
)

// ListStock lists a page of what is in stock of every part, by code, as JSON or CSV.
func (h *handlers) ListStock(
	ctx context.Context, r ListStockRequestObject,
) (ListStockResponseObject, error) {
	mediaType, err := middleware.Negotiate(ctx, echo.MIMEApplicationJSON, media.TypeCSV)
	if err != nil {
		return nil, err
	}
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	list, err := h.app.Read(ctx, a).Stock(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfStock)
	v := viewOf(a)
	items := convert.All(rows, v.stockedPart)
	if mediaType == media.TypeCSV {
		return csvTable{media.CSV{Next: next.Link, Rows: media.StockTable(items, v == withMoney)}}, nil
	}
	return ListStock200JSONResponse{
		Body:    openapi.StockPage{Items: items, NextCursor: next.Cursor},
		Headers: ListStock200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfStock(s postgres.StockedPart) postgres.Place { return placeOfPart(s.Versioned) }

// ListStockMoves lists a page of the moves of a part, as JSON or CSV.
func (h *handlers) ListStockMoves(
	ctx context.Context, r ListStockMovesRequestObject,
) (ListStockMovesResponseObject, error) {
	mediaType, err := middleware.Negotiate(ctx, echo.MIMEApplicationJSON, media.TypeCSV)
	if err != nil {
		return nil, err
	}
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	reader := h.app.Read(ctx, a)
	if _, err := reader.Part(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.StockMoves(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfMove)
	v := viewOf(a)
	items := convert.All(rows, v.stockMove)
	if mediaType == media.TypeCSV {
		return csvTable{media.CSV{Next: next.Link, Rows: media.MoveTable(items, v == withMoney)}}, nil
	}
	return ListStockMoves200JSONResponse{
		Body:    openapi.StockMovePage{Items: items, NextCursor: next.Cursor},
		Headers: ListStockMoves200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfMove(m stock.Move) postgres.Place {
	return postgres.Place{Key: strconv.FormatInt(m.Number, 10), ID: m.ID}
}

// GetStockMove shows one move with its entries.
func (h *handlers) GetStockMove(
	ctx context.Context, r GetStockMoveRequestObject,
) (GetStockMoveResponseObject, error) {
	a := middleware.Actor(ctx)
	m, err := h.app.Read(ctx, a).StockMove(ctx, r.ID, r.Move)
	switch {
	case err != nil:
		return nil, err
	case m == nil:
		return nil, domain.Refuse(domain.NotFound, "no move of this part found with this id")
	}
	v := viewOf(a)
	return GetStockMove200JSONResponse{
		Body: v.stockMove(*m), Headers: GetStockMove200ResponseHeaders{ETag: v.tag(1)}, // never changed
	}, nil
}

// RecordStockMove records a move of a part.
func (h *handlers) RecordStockMove(
	ctx context.Context, r RecordStockMoveRequestObject,
) (RecordStockMoveResponseObject, error) {
	d, err := readMove(r.ID, *r.Body)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	m, err := h.app.MoveStock(ctx, a, d)
	if err != nil {
		return nil, err
	}
	return RecordStockMove201JSONResponse(viewOf(a).stockMove(m)), nil
}

func readMove(part uuid.UUID, b openapi.StockMoveDraft) (stock.Draft, error) {
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return stock.Draft{}, err
	}
	d := stock.Draft{
		Part: part, Kind: stock.Kind(b.Kind), Quantity: b.Quantity, Unit: b.Unit, On: on, Job: b.Job,
		Operation: catalogue.Code(b.Operation), Of: b.Of, CountsAs: stock.CountsAs(b.CountsAs),
		Supplier: b.Supplier, Reference: b.Reference, Note: b.Note,
	}
	if b.Value == nil {
		return d, nil
	}
	var f domain.Faults
	value := convert.ReadMoney(&f, "#/value", *b.Value)
	d.Value = &value
	return d, f.Err()
}

// csvTable answers the lists of stock as CSV.
type csvTable struct{ media.CSV }

// VisitListStockResponse sends the table.
func (t csvTable) VisitListStockResponse(w http.ResponseWriter) error { return t.Send(w) }

// VisitListStockMovesResponse sends the table.
func (t csvTable) VisitListStockMovesResponse(w http.ResponseWriter) error { return t.Send(w) }
