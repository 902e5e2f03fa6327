package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListJobs lists the jobs in the order of the queue.
func (h *handlers) ListJobs(ctx context.Context, _ ListJobsRequestObject) (ListJobsResponseObject, error) {
	jobs, err := h.app.Read(ctx, actorOf(ctx)).Jobs(ctx)
	if err != nil {
		return nil, err
	}
	return ListJobs200JSONResponse{Items: renderAll(jobs, renderJob)}, nil
}

// CreateJob accepts a scope.
func (h *handlers) CreateJob(ctx context.Context, r CreateJobRequestObject) (CreateJobResponseObject, error) {
	day, err := parseDay(r.Body.AcceptedOn)
	if err != nil {
		return nil, err
	}
	j, err := h.app.AcceptScope(ctx, actorOf(ctx), uuid.Nil, r.Body.Scope, day)
	if err != nil {
		return nil, err
	}
	return CreateJob201JSONResponse{
		Body: renderJob(j),
		Headers: CreateJob201ResponseHeaders{
			ETag: versionTag(j.Version, fullView), Location: "/v1/jobs/" + j.Value.ID.String(),
		},
	}, nil
}

// GetJob shows a job with its tasks.
func (h *handlers) GetJob(ctx context.Context, r GetJobRequestObject) (GetJobResponseObject, error) {
	j, err := h.app.Read(ctx, actorOf(ctx)).Job(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetJob200JSONResponse{
		Body: renderJob(j), Headers: GetJob200ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

// PutTask records how far a task is.
func (h *handlers) PutTask(ctx context.Context, r PutTaskRequestObject) (PutTaskResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	progress := app.Progress{Left: r.Body.Left, Finished: r.Body.Finished}
	j, err := h.app.RecordProgress(ctx, actorOf(ctx), r.ID, catalogue.Code(r.Operation), progress, version)
	if err != nil {
		return nil, err
	}
	return PutTask200JSONResponse{
		Body: renderJob(j), Headers: PutTask200ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

func renderJob(v app.Versioned[domain.Job]) openapi.Job {
	j := v.Value
	return openapi.Job{
		ID: j.ID, Instrument: j.Instrument, Scope: j.Scope, AcceptedOn: j.AcceptedOn.String(), Place: j.Place,
		Tasks: renderAll(j.Tasks, renderTask), Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

func renderTask(t domain.Task) openapi.Task {
	return openapi.Task{
		Operation: string(t.Operation), Planned: t.Planned, Left: t.Left, FinishedAt: orZeroTime(t.FinishedAt),
	}
}
