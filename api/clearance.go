package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/openapi"
)

// ListStops lists what stops an instrument.
func (h *handlers) ListStops(
	ctx context.Context, r ListStopsRequestObject,
) (ListStopsResponseObject, error) {
	stops, err := h.app.Stops(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.StopList{
		Items: convert.All(stops, convert.Stop), Deference: catalogue.Deference,
	}
	tag, err := etag.Digest(body)
	return ListStops200JSONResponse{Body: body, Headers: ListStops200ResponseHeaders{ETag: tag}}, err
}

// ListClearances lists a page of the clearances of an instrument.
func (h *handlers) ListClearances(
	ctx context.Context, r ListClearancesRequestObject,
) (ListClearancesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Clearances(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfClearance)
	return ListClearances200JSONResponse{
		Body: openapi.ClearancePage{
			Items: convert.All(rows, renderClearance), NextCursor: next.Cursor,
		},
		Headers: ListClearances200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfClearance(c clearance.Clearance) postgres.Place {
	return postgres.Place{CreatedAt: c.RecordedAt, ID: c.ID}
}

// RecordClearance clears a stop of an instrument, or withdraws a clearance.
func (h *handlers) RecordClearance(
	ctx context.Context, r RecordClearanceRequestObject,
) (RecordClearanceResponseObject, error) {
	b := r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	dated, err := convert.ParseOptionalDay(b.Dated)
	if err != nil {
		return nil, err
	}
	c, err := h.app.Clear(ctx, middleware.Actor(ctx), clearance.Clearance{
		Instrument: r.ID, Stop: b.Stop, By: b.By, Says: b.Says, On: on, Reference: b.Reference,
		Dated: dated, Withdraws: b.Withdraws,
	})
	if err != nil {
		return nil, err
	}
	return RecordClearance201JSONResponse(renderClearance(c)), nil
}

func renderClearance(c clearance.Clearance) openapi.Clearance {
	return openapi.Clearance{
		ID: c.ID, Instrument: c.Instrument, Stop: c.Stop, Finding: c.Finding.Text, Places: c.Places,
		Owner: openapi.Ownership(c.Owner), Party: c.Party, Country: c.Country, Until: c.Until,
		By: c.By, Says: c.Says, On: c.On.String(), Reference: c.Reference,
		Dated:     convert.DayOrEmpty(c.Dated),
		Withdraws: c.Withdraws, RecordedBy: c.RecordedBy, RecordedAt: c.RecordedAt,
	}
}
