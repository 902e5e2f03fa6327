package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/openapi"
)

// ListRates lists a page of the versions of what an hour costs.
func (h *handlers) ListRates(
	ctx context.Context, r ListRatesRequestObject,
) (ListRatesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).RateVersions(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfRates)
	return ListRates200JSONResponse{
		Body:    openapi.RatesPage{Items: convert.All(rows, renderRates), NextCursor: next.Cursor},
		Headers: ListRates200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfRates(v cost.Rates) postgres.Place {
	return postgres.Place{CreatedAt: v.RecordedAt, ID: v.ID}
}

// SetRates sets what an hour costs from a day on.
func (h *handlers) SetRates(
	ctx context.Context, r SetRatesRequestObject,
) (SetRatesResponseObject, error) {
	b := *r.Body
	from, err := convert.ParseDay(b.From)
	if err != nil {
		return nil, err
	}
	estimate, err := readEstimate(b.Estimate)
	if err != nil {
		return nil, err
	}
	v := cost.Rates{
		From: from, Labour: b.Labour, BySkill: b.LabourBySkill, Notional: b.Notional,
		FixedOverhead: b.FixedOverhead, Estimate: estimate, Note: b.Note,
	}
	switch {
	case b.Overhead != nil:
		v.Overhead = *b.Overhead
	case len(estimate) == 0:
		return nil, domain.RefuseAt(domain.Invalid, "#/overhead",
			"must be given, or an estimate, which it is worked out from")
	}
	if b.NormalHours != nil {
		v.NormalHours = *b.NormalHours
	}
	v, err = h.app.SetRates(ctx, middleware.Actor(ctx), v)
	return SetRates201JSONResponse(renderRates(v)), err
}

// GetRatesInForce shows what an hour costs on a day.
func (h *handlers) GetRatesInForce(
	ctx context.Context, r GetRatesInForceRequestObject,
) (GetRatesInForceResponseObject, error) {
	day, err := convert.ParseOptionalDay(r.Params.On)
	if err != nil {
		return nil, err
	}
	v, err := h.app.RatesOn(ctx, middleware.Actor(ctx), day)
	if err != nil {
		return nil, err
	}
	body := renderRates(v)
	tag, err := etag.Digest(body)
	return GetRatesInForce200JSONResponse{
		Body: body, Headers: GetRatesInForce200ResponseHeaders{ETag: tag},
	}, err
}

func renderRates(v cost.Rates) openapi.Rates {
	out := openapi.Rates{
		ID: v.ID, From: convert.DayOrEmpty(v.From), Labour: v.Labour, LabourBySkill: v.BySkill,
		Notional: v.Notional, Overhead: v.Overhead, FixedOverhead: v.FixedOverhead, Note: v.Note,
		RecordedBy: v.RecordedBy, RecordedAt: v.RecordedAt,
	}
	if len(v.Estimate) > 0 {
		out.Estimate = convert.All(v.Estimate, renderEstimated)
	}
	if !v.NormalHours.IsZero() {
		out.NormalHours = &v.NormalHours
	}
	return out
}
