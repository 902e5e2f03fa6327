package api

import (
	"context"
	"fmt"

	"bentside/api/convert"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/supply"
	"bentside/openapi"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// ListOrders lists a page of the open orders, or of the closed ones.
func (h *handlers) ListOrders(
	ctx context.Context, r ListOrdersRequestObject,
) (ListOrdersResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	list, err := h.app.Read(ctx, a).Orders(ctx, r.Params.Closed, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfOrder)
	return ListOrders200JSONResponse{
		Body: openapi.OrderPage{
			Items: convert.All(rows, viewOf(a).order), NextCursor: next.Cursor,
		},
		Headers: ListOrders200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfOrder(o app.Versioned[supply.Order]) postgres.Place {
	return postgres.Place{CreatedAt: o.CreatedAt, ID: o.Value.ID}
}

// PlaceOrder places an order with a supplier.
func (h *handlers) PlaceOrder(
	ctx context.Context, r PlaceOrderRequestObject,
) (PlaceOrderResponseObject, error) {
	sent, err := readOrder(uuid.Nil, *r.Body)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	o, err := h.app.PlaceOrder(ctx, a, sent)
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return PlaceOrder201JSONResponse{
		Body: v.order(o), Headers: PlaceOrder201ResponseHeaders{
			ETag: v.tag(o.Version), Location: "/v1/orders/" + o.Value.ID.String(),
		},
	}, nil
}

// GetOrder shows an order.
func (h *handlers) GetOrder(
	ctx context.Context, r GetOrderRequestObject,
) (GetOrderResponseObject, error) {
	a := middleware.Actor(ctx)
	o, err := h.app.Read(ctx, a).Order(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return GetOrder200JSONResponse{
		Body: v.order(o), Headers: GetOrder200ResponseHeaders{ETag: v.tag(o.Version)},
	}, nil
}

// PutOrder changes an order.
func (h *handlers) PutOrder(
	ctx context.Context, r PutOrderRequestObject,
) (PutOrderResponseObject, error) {
	sent, err := readOrder(r.ID, *r.Body)
	if err != nil {
		return nil, err
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	o, err := h.app.ChangeOrder(ctx, a, sent, version)
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return PutOrder200JSONResponse{
		Body: v.order(o), Headers: PutOrder200ResponseHeaders{ETag: v.tag(o.Version)},
	}, nil
}

// CancelOrder cancels what is outstanding of an order.
func (h *handlers) CancelOrder(
	ctx context.Context, r CancelOrderRequestObject,
) (CancelOrderResponseObject, error) {
	a := middleware.Actor(ctx)
	o, err := h.app.CancelOrder(ctx, a, supply.Cancellation{
		Order: r.ID, Line: r.Body.Line, Reason: r.Body.Reason,
	})
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return CancelOrder201JSONResponse{
		Body: v.order(o), Headers: CancelOrder201ResponseHeaders{ETag: v.tag(o.Version)},
	}, nil
}

func readOrder(id uuid.UUID, s openapi.OrderSettings) (supply.Order, error) {
	o := supply.Order{
		ID: id, Supplier: s.Supplier, Reference: s.Reference, Note: s.Note,
		Lines: make([]supply.Line, len(s.Lines)),
	}
	var err error
	if o.OrderedOn, err = convert.ParseOptionalDay(s.OrderedOn); err != nil {
		return o, err
	}
	if o.Expected, err = convert.ParseDay(s.ExpectedOn); err != nil {
		return o, err
	}
	var f domain.Faults
	o.Terms = readSupplyTerms(&f, s.Currency, s.Rate)
	for i, l := range s.Lines {
		o.Lines[i] = supply.Line{
			Number: l.Number, Part: l.Part, Quantity: l.Quantity, Unit: l.Unit, Each: l.PriceEach,
			Job: l.Job, Operation: catalogue.Code(l.Operation),
		}
		if l.Price != nil {
			o.Lines[i].Price = convert.ReadMoney(&f, fmt.Sprintf("#/lines/%d/price", i), *l.Price)
		}
	}
	return o, f.Err()
}

func readSupplyTerms(f *domain.Faults, code string, rate openapi.ExchangeRate) supply.Terms {
	c, err := money.ParseCurrency(code)
	if err != nil {
		f.Add("#/currency", "%v", err)
	}
	return supply.Terms{Currency: c, Rate: rate}
}
