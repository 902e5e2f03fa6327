package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListSuspensions lists the suspensions of a job and its tasks.
func (h *handlers) ListSuspensions(
	ctx context.Context, r ListSuspensionsRequestObject,
) (ListSuspensionsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Suspensions(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfSuspension)
	return ListSuspensions200JSONResponse{
		Body: openapi.SuspensionPage{
			Items: convert.All(rows, renderSuspension), NextCursor: next.Cursor,
		},
		Headers: ListSuspensions200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfSuspension(x job.Suspension) postgres.Place {
	return postgres.Place{CreatedAt: x.Since, ID: x.ID}
}

// SuspendWork suspends a task or a whole job.
func (h *handlers) SuspendWork(
	ctx context.Context, r SuspendWorkRequestObject,
) (SuspendWorkResponseObject, error) {
	until, err := convert.ParseDay(r.Body.Until)
	if err != nil {
		return nil, err
	}
	j, err := h.app.Suspend(ctx, middleware.Actor(ctx), r.ID, job.Suspension{
		Operation: catalogue.Code(r.Body.Operation), Why: r.Body.Why, Until: until,
		KeepsStation: r.Body.KeepsStation,
	})
	if err != nil {
		return nil, err
	}
	return SuspendWork201JSONResponse{
		Body: renderJob(j), Headers: SuspendWork201ResponseHeaders{ETag: etag.Version(j.Version)},
	}, nil
}

// ResumeWork ends a suspension.
func (h *handlers) ResumeWork(
	ctx context.Context, r ResumeWorkRequestObject,
) (ResumeWorkResponseObject, error) {
	j, err := h.app.Resume(ctx, middleware.Actor(ctx), r.ID, r.Suspension, r.Body.Why)
	if err != nil {
		return nil, err
	}
	return ResumeWork200JSONResponse{
		Body: renderJob(j), Headers: ResumeWork200ResponseHeaders{ETag: etag.Version(j.Version)},
	}, nil
}

func renderSuspension(s job.Suspension) openapi.Suspension {
	return openapi.Suspension{
		ID: s.ID, Operation: string(s.Operation), Why: s.Why, Since: s.Since, Until: s.Until.String(),
		KeepsStation: s.KeepsStation, EndedAt: convert.TimeOrZero(s.EndedAt), EndedWhy: s.EndedWhy,
	}
}
