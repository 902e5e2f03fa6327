package api

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// ListSuspensions lists what of a job rests or rested.
func (h *handlers) ListSuspensions(ctx context.Context, r ListSuspensionsRequestObject) (ListSuspensionsResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Suspensions(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return ListSuspensions200JSONResponse{Items: renderAll(list, renderSuspension)}, nil
}

// Suspend lets a task or a whole job rest.
func (h *handlers) Suspend(ctx context.Context, r SuspendRequestObject) (SuspendResponseObject, error) {
	until, err := parseDay(r.Body.Until)
	if err != nil {
		return nil, err
	}
	j, err := h.app.Suspend(ctx, actorOf(ctx), r.ID, domain.Suspension{
		Operation: catalogue.Code(r.Body.Operation), Why: r.Body.Why, Until: until, KeepsStation: r.Body.KeepsStation,
	})
	if err != nil {
		return nil, err
	}
	return Suspend201JSONResponse{
		Body: renderJob(j), Headers: Suspend201ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

// Resume takes up again what rested.
func (h *handlers) Resume(ctx context.Context, r ResumeRequestObject) (ResumeResponseObject, error) {
	j, err := h.app.Resume(ctx, actorOf(ctx), r.ID, r.Suspension, r.Body.Why)
	if err != nil {
		return nil, err
	}
	return Resume200JSONResponse{
		Body: renderJob(j), Headers: Resume200ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

func renderSuspension(s domain.Suspension) openapi.Suspension {
	return openapi.Suspension{
		ID: s.ID, Operation: string(s.Operation), Why: s.Why, Since: s.Since, Until: s.Until.String(), KeepsStation: s.KeepsStation,
		EndedAt: orZeroTime(s.EndedAt), EndedWhy: s.EndedWhy,
	}
}
