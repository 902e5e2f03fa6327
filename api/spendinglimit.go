package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListSpendingLimits lists the sums that a client agreed to spend without being asked.
func (h *handlers) ListSpendingLimits(
	ctx context.Context, r ListSpendingLimitsRequestObject,
) (ListSpendingLimitsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.SpendingLimits(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfSpendingLimit)
	return ListSpendingLimits200JSONResponse{
		Body: openapi.SpendingLimitPage{
			Items: convert.All(rows, renderSpendingLimit), NextCursor: next.Cursor,
		},
		Headers: ListSpendingLimits200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfSpendingLimit(x job.SpendingLimit) postgres.Place {
	return postgres.Place{CreatedAt: x.At, ID: x.ID}
}

// RecordSpendingLimit records a spending limit.
func (h *handlers) RecordSpendingLimit(
	ctx context.Context, r RecordSpendingLimitRequestObject,
) (RecordSpendingLimitResponseObject, error) {
	day, err := convert.ParseDay(r.Body.AgreedOn)
	if err != nil {
		return nil, err
	}
	in, err := h.amountReader(ctx)
	if err != nil {
		return nil, err
	}
	l := job.SpendingLimit{
		Limit: in.Amount("#/limit", &r.Body.Limit), Party: r.Body.Party, AgreedOn: day, How: r.Body.How,
	}
	if err := in.Faults.Err(); err != nil {
		return nil, err
	}
	if l, err = h.app.AgreeLimit(ctx, middleware.Actor(ctx), r.ID, l); err != nil {
		return nil, err
	}
	return RecordSpendingLimit201JSONResponse(renderSpendingLimit(l)), nil
}

func renderSpendingLimit(l job.SpendingLimit) openapi.SpendingLimit {
	return openapi.SpendingLimit{
		ID: l.ID, Limit: convert.Money(l.Limit), Party: l.Party, AgreedOn: l.AgreedOn.String(),
		How:        l.How,
		RecordedAt: l.At,
	}
}
