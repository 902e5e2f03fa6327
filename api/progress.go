package api

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// ListProgress lists everything that was said of a task.
func (h *handlers) ListProgress(ctx context.Context, r ListProgressRequestObject) (ListProgressResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	j, err := reader.Job(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	code := catalogue.Code(r.Operation)
	if j.Value.Task(code) == nil {
		return nil, domain.Refuse(domain.NotFound, "the job has no such operation")
	}
	list, err := reader.Progress(ctx, r.ID, code)
	if err != nil {
		return nil, err
	}
	return ListProgress200JSONResponse{Items: renderAll(list, renderProgress)}, nil
}

// AddProgress records how far a task is.
func (h *handlers) AddProgress(ctx context.Context, r AddProgressRequestObject) (AddProgressResponseObject, error) {
	b := r.Body
	p := domain.Progress{
		Operation: catalogue.Code(r.Operation), Done: b.Done, Left: b.Left, Finished: b.Finished, Person: b.Person, Note: b.Note,
	}
	if b.WorkedOn != "" {
		day, err := parseDay(b.WorkedOn)
		if err != nil {
			return nil, err
		}
		p.On = day
	}
	j, err := h.app.RecordProgress(ctx, actorOf(ctx), r.ID, p)
	if err != nil {
		return nil, err
	}
	return AddProgress201JSONResponse{
		Body: renderJob(j), Headers: AddProgress201ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

func renderProgress(p domain.Progress) openapi.Progress {
	return openapi.Progress{
		ID: p.ID, Operation: string(p.Operation), Done: p.Done, Left: p.Left, Finished: p.Finished, WorkedOn: p.On.String(),
		Person: p.Person, Note: p.Note, RecordedBy: p.RecordedBy, RecordedAt: p.RecordedAt,
	}
}
