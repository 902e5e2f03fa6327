package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/supply"
	"bentside/openapi"
)

// ListDeliveries lists a page of the deliveries of an order.
func (h *handlers) ListDeliveries(
	ctx context.Context, r ListDeliveriesRequestObject,
) (ListDeliveriesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	reader := h.app.Read(ctx, a)
	if _, err := reader.Order(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Deliveries(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfDelivery)
	return ListDeliveries200JSONResponse{
		Body: openapi.DeliveryPage{
			Items: convert.All(rows, viewOf(a).delivery), NextCursor: next.Cursor,
		},
		Headers: ListDeliveries200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfDelivery(d postgres.ShownDelivery) postgres.Place {
	return postgres.Place{CreatedAt: d.RecordedAt, ID: d.ID}
}

// RecordDelivery records a delivery against an order.
func (h *handlers) RecordDelivery(
	ctx context.Context, r RecordDeliveryRequestObject,
) (RecordDeliveryResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	sent := supply.Delivery{
		Order: r.ID, Reference: r.Body.Reference, On: on, Note: r.Body.Note,
		Lines: make([]supply.Arrival, len(r.Body.Lines)),
	}
	for i, l := range r.Body.Lines {
		sent.Lines[i] = supply.Arrival{
			Line: l.Line, Quantity: l.Quantity, Unit: l.Unit, IntoStock: l.IntoStock, Reason: l.Reason,
		}
	}
	a := middleware.Actor(ctx)
	d, err := h.app.Deliver(ctx, a, sent)
	if err != nil {
		return nil, err
	}
	return RecordDelivery201JSONResponse(viewOf(a).delivery(newDelivery(d))), nil
}

// newDelivery returns a delivery of which nothing was billed or went back yet.
func newDelivery(d supply.Delivery) postgres.ShownDelivery {
	s := postgres.ShownDelivery{Delivery: d}
	for _, a := range d.Lines {
		s.Shown = append(s.Shown, postgres.DeliveredLine{Arrival: a})
	}
	return s
}

// SendBackDelivered records what goes back to the supplier.
func (h *handlers) SendBackDelivered(
	ctx context.Context, r SendBackDeliveredRequestObject,
) (SendBackDeliveredResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	x, err := h.app.SendBack(ctx, middleware.Actor(ctx), supply.Returned{
		Order: r.ID, Receipt: r.Body.Receipt, Quantity: r.Body.Quantity, Unit: r.Body.Unit,
		Replacement: r.Body.Replacement, Reason: r.Body.Reason, On: on, Reference: r.Body.Reference,
	})
	if err != nil {
		return nil, err
	}
	return SendBackDelivered201JSONResponse(openapi.SupplierReturn{
		ID: x.ID, Order: x.Order, Line: x.Line, Receipt: x.Receipt, Move: x.Move, Quantity: x.Quantity,
		Unit: x.Unit, Units: x.Units, Replacement: x.Replacement, Reason: x.Reason, On: x.On.String(),
		PostedOn: x.PostedOn.String(), Reference: x.Reference, RecordedBy: x.RecordedBy,
		RecordedAt: x.RecordedAt,
	}), nil
}
