package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/cost"
	"bentside/openapi"
)

// ListRateCorrections lists a page of the corrections of rates.
func (h *handlers) ListRateCorrections(
	ctx context.Context, r ListRateCorrectionsRequestObject,
) (ListRateCorrectionsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).RateCorrections(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfRateCorrection)
	return ListRateCorrections200JSONResponse{
		Body: openapi.RateCorrectionPage{
			Items: convert.All(rows, renderRateCorrection), NextCursor: next.Cursor,
		},
		Headers: ListRateCorrections200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfRateCorrection(c cost.RateCorrection) postgres.Place {
	return postgres.Place{CreatedAt: c.RecordedAt, ID: c.ID}
}

// CorrectRates costs posted hours anew by the rates as they are now.
func (h *handlers) CorrectRates(
	ctx context.Context, r CorrectRatesRequestObject,
) (CorrectRatesResponseObject, error) {
	from, err := convert.ParseDay(r.Body.From)
	if err != nil {
		return nil, err
	}
	through, err := convert.ParseDay(r.Body.Through)
	if err != nil {
		return nil, err
	}
	c, err := h.app.CorrectRates(ctx, middleware.Actor(ctx), cost.RateCorrection{
		From: from, Through: through, Why: r.Body.Why,
	})
	return CorrectRates201JSONResponse(renderWholeRateCorrection(c)), err
}

// GetRateCorrection shows a correction of rates with what it changed.
func (h *handlers) GetRateCorrection(
	ctx context.Context, r GetRateCorrectionRequestObject,
) (GetRateCorrectionResponseObject, error) {
	c, err := h.app.RateCorrection(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderWholeRateCorrection(c)
	tag, err := etag.Digest(body)
	return GetRateCorrection200JSONResponse{
		Body: body, Headers: GetRateCorrection200ResponseHeaders{ETag: tag},
	}, err
}

func renderRateCorrection(c cost.RateCorrection) openapi.RateCorrection {
	return openapi.RateCorrection{
		ID: c.ID, From: c.From.String(), Through: c.Through.String(), Why: c.Why,
		RecordedBy: c.RecordedBy, RecordedAt: c.RecordedAt,
	}
}

func renderWholeRateCorrection(c app.ShownRateCorrection) openapi.RateCorrection {
	out := renderRateCorrection(c.RateCorrection)
	out.Lines = convert.All(c.Lines, renderCostLine)
	out.Entries = convert.All(c.Changes, func(x cost.RateChange) openapi.CorrectedRate {
		return openapi.CorrectedRate{
			Entry: x.Entry, Job: x.Job, Kind: openapi.CostKind(x.Kind), On: x.On.String(),
			Minutes: int64(x.Minutes), Was: x.Rate, Rate: x.Is, Amount: convert.Money(x.Amount),
		}
	})
	return out
}
