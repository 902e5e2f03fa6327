package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListPromises lists the dates that were promised for a job.
func (h *handlers) ListPromises(
	ctx context.Context, r ListPromisesRequestObject,
) (ListPromisesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Promises(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	render := func(p job.Promise) openapi.Promise { return renderPromise(p, today) }
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfPromise)
	return ListPromises200JSONResponse{
		Body:    openapi.PromisePage{Items: convert.All(rows, render), NextCursor: next.Cursor},
		Headers: ListPromises200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfPromise(p job.Promise) postgres.Place {
	return postgres.Place{CreatedAt: p.RecordedAt, ID: p.ID}
}

// RecordPromise records a date that was promised to a party.
func (h *handlers) RecordPromise(
	ctx context.Context, r RecordPromiseRequestObject,
) (RecordPromiseResponseObject, error) {
	b := r.Body
	due, err := convert.ParseDay(b.Due)
	if err != nil {
		return nil, err
	}
	on, err := convert.ParseOptionalDay(b.PromisedOn)
	if err != nil {
		return nil, err
	}
	p, warning, err := h.app.Promise(ctx, middleware.Actor(ctx), job.Promise{
		Job: r.ID, For: b.For, Due: due, Party: b.Party, Confidence: b.Confidence, PromisedOn: on,
	})
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, middleware.Actor(ctx))
	body := renderPromise(p, today)
	body.Note, body.Assumptions = warning, convert.All(assumed, convert.Assumption)
	return RecordPromise201JSONResponse(body), err
}

// RecordPromiseOutcome records whether a promise was kept.
func (h *handlers) RecordPromiseOutcome(
	ctx context.Context, r RecordPromiseOutcomeRequestObject,
) (RecordPromiseOutcomeResponseObject, error) {
	on, err := convert.ParseDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	o := job.PromiseOutcome{Withdrawn: r.Body.Withdrawn, On: on, Why: r.Body.Why}
	p, err := h.app.EndPromise(ctx, middleware.Actor(ctx), r.ID, r.Promise, o)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, middleware.Actor(ctx))
	return RecordPromiseOutcome201JSONResponse(renderPromise(p, today)), err
}

func renderPromise(p job.Promise, today domain.Date) openapi.Promise {
	out := openapi.Promise{
		ID: p.ID, Job: p.Job, For: p.For, Due: p.Due.String(), Party: p.Party, Confidence: p.Confidence,
		PromisedOn: p.PromisedOn.String(), PromisedBy: p.PromisedBy,
		State: openapi.PromiseState(p.State(today)), RecordedAt: p.RecordedAt,
	}
	if o := p.Outcome; o != nil {
		out.EndedOn, out.Why = o.On.String(), o.Why
	}
	return out
}
