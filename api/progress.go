package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListProgress lists all records of progress on a task.
func (h *handlers) ListProgress(
	ctx context.Context, r ListProgressRequestObject,
) (ListProgressResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	j, err := reader.Job(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	code := catalogue.Code(r.Operation)
	if j.Value.Task(code) == nil {
		return nil, domain.Refuse(domain.NotFound, "no such operation in this job")
	}
	list, err := reader.Progress(ctx, r.ID, code, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfProgress)
	return ListProgress200JSONResponse{
		Body: openapi.ProgressPage{
			Items: convert.All(rows, renderProgress), NextCursor: next.Cursor,
		},
		Headers: ListProgress200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfProgress(x job.Progress) postgres.Place {
	return postgres.Place{CreatedAt: x.RecordedAt, ID: x.ID}
}

// AddProgress records progress on a task.
func (h *handlers) AddProgress(
	ctx context.Context, r AddProgressRequestObject,
) (AddProgressResponseObject, error) {
	b := r.Body
	p := job.Progress{
		Operation: catalogue.Code(r.Operation), Counted: b.Done, Left: b.Left, Finished: b.Finished,
		Person: b.Person, Note: b.Note, Reason: b.Reason, Correction: b.Correction,
	}
	var f domain.Faults
	p.Minutes = readMinutes(&f, "#/hours", b.Hours)
	if err := f.Err(); err != nil {
		return nil, err
	}
	if b.WorkedOn != "" {
		day, err := convert.ParseDay(b.WorkedOn)
		if err != nil {
			return nil, err
		}
		p.On = day
	}
	j, err := h.app.RecordProgress(ctx, middleware.Actor(ctx), r.ID, p)
	if err != nil {
		return nil, err
	}
	body := renderJob(j)
	stops, err := h.app.JobStops(ctx, middleware.Actor(ctx), j.Value)
	body.Stops = convert.All(stops, convert.Stop)
	return AddProgress201JSONResponse{
		Body: body, Headers: AddProgress201ResponseHeaders{ETag: etag.Version(j.Version)},
	}, err
}

func renderProgress(p job.Progress) openapi.Progress {
	return openapi.Progress{
		ID: p.ID, Operation: string(p.Operation), Done: p.Done, Left: p.Left, Finished: p.Finished,
		WorkedOn: p.On.String(), Person: p.Person, Note: p.Note, Reason: p.Reason,
		Ahead:      convert.Texts[catalogue.Code, openapi.OperationCode](p.Ahead),
		RecordedBy: p.RecordedBy, RecordedAt: p.RecordedAt,
	}
}
