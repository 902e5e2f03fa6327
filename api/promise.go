package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// ListPromises lists what was promised of a job.
func (h *handlers) ListPromises(ctx context.Context, r ListPromisesRequestObject) (ListPromisesResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Promises(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	return ListPromises200JSONResponse{
		Items: renderAll(list, func(p domain.Promise) openapi.Promise { return renderPromise(p, today) }),
	}, err
}

// Promise records a date that was given to somebody.
func (h *handlers) Promise(ctx context.Context, r PromiseRequestObject) (PromiseResponseObject, error) {
	b := r.Body
	due, err := parseDay(b.Due)
	if err != nil {
		return nil, err
	}
	on, err := dayOrNone(b.PromisedOn)
	if err != nil {
		return nil, err
	}
	p, err := h.app.Promise(ctx, actorOf(ctx), domain.Promise{
		Job: r.ID, For: b.For, Due: due, Party: b.Party, Confidence: b.Confidence, PromisedOn: on,
	})
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	return Promise201JSONResponse(renderPromise(p, today)), err
}

// EndPromise records what became of a promise.
func (h *handlers) EndPromise(ctx context.Context, r EndPromiseRequestObject) (EndPromiseResponseObject, error) {
	on, err := parseDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	o := domain.PromiseOutcome{Withdrawn: r.Body.Withdrawn, On: on, Why: r.Body.Why}
	p, err := h.app.EndPromise(ctx, actorOf(ctx), r.ID, r.Promise, o)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	return EndPromise201JSONResponse(renderPromise(p, today)), err
}

func renderPromise(p domain.Promise, today domain.Date) openapi.Promise {
	out := openapi.Promise{
		ID: p.ID, Job: p.Job, For: p.For, Due: p.Due.String(), Party: p.Party, Confidence: p.Confidence,
		PromisedOn: p.PromisedOn.String(), PromisedBy: p.PromisedBy, State: openapi.PromiseState(p.State(today)), RecordedAt: p.RecordedAt,
	}
	if o := p.Outcome; o != nil {
		out.EndedOn, out.Why = o.On.String(), o.Why
	}
	return out
}
