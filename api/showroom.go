package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
)

// AskForInstrument records what is asked for an instrument, or that it is no longer offered.
func (h *handlers) AskForInstrument(
	ctx context.Context, r AskForInstrumentRequestObject,
) (AskForInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	p := sale.ShowroomPrice{
		Instrument: r.ID, On: on, Note: b.Note,
		Price: convert.ReadOptionalMoney(&f, "#/price", b.Price),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	p, err = h.app.AskForInstrument(ctx, middleware.Actor(ctx), p)
	return AskForInstrument201JSONResponse(renderShowroomPrice(p)), err
}

// ListShowroomPrices lists a page of what was asked for an instrument.
func (h *handlers) ListShowroomPrices(
	ctx context.Context, r ListShowroomPricesRequestObject,
) (ListShowroomPricesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.ShowroomPrices(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(p sale.ShowroomPrice) postgres.Place {
		return postgres.Place{CreatedAt: p.RecordedAt, ID: p.ID}
	})
	return ListShowroomPrices200JSONResponse{
		Body: openapi.ShowroomPricePage{
			Items: convert.All(rows, renderShowroomPrice), NextCursor: next.Cursor,
		},
		Headers: ListShowroomPrices200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderShowroomPrice(p sale.ShowroomPrice) openapi.ShowroomPrice {
	return openapi.ShowroomPrice{
		ID: p.ID, Instrument: p.Instrument, Price: convert.OptionalMoney(p.Price), On: p.On.String(),
		Note: p.Note, RecordedBy: p.RecordedBy, RecordedAt: p.RecordedAt,
	}
}
