package api

import (
	"context"
	"strconv"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/supply"
	"bentside/openapi"
)

// ListOrderDays lists a page of the new days on which an order was expected.
func (h *handlers) ListOrderDays(
	ctx context.Context, r ListOrderDaysRequestObject,
) (ListOrderDaysResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Order(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.OrderDays(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfOrderDay)
	return ListOrderDays200JSONResponse{
		Body: openapi.OrderDayPage{
			Items: convert.All(rows, orderDay), NextCursor: next.Cursor,
		},
		Headers: ListOrderDays200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfOrderDay(d supply.NewDay) postgres.Place {
	return postgres.Place{Key: strconv.Itoa(d.Number), ID: d.Order}
}

func orderDay(d supply.NewDay) openapi.OrderDay {
	return openapi.OrderDay{
		Number: d.Number, Was: d.Was.String(), ExpectedOn: d.Expected.String(), Reason: d.Reason,
		RecordedBy: d.RecordedBy, RecordedAt: d.RecordedAt,
	}
}

// ExpectOrder records a new day on which an order is expected.
func (h *handlers) ExpectOrder(
	ctx context.Context, r ExpectOrderRequestObject,
) (ExpectOrderResponseObject, error) {
	day, err := convert.ParseDay(r.Body.ExpectedOn)
	if err != nil {
		return nil, err
	}
	a := middleware.Actor(ctx)
	o, err := h.app.ExpectOrder(ctx, a, supply.NewDay{
		Order: r.ID, Expected: day, Reason: r.Body.Reason,
	})
	if err != nil {
		return nil, err
	}
	v := viewOf(a)
	return ExpectOrder201JSONResponse{
		Body: v.order(o), Headers: ExpectOrder201ResponseHeaders{ETag: v.tag(o.Version)},
	}, nil
}
