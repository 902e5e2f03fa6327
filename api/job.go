package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListJobs lists the jobs in the order of the queue, or those that are closed.
func (h *handlers) ListJobs(ctx context.Context, r ListJobsRequestObject) (ListJobsResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	list := reader.Jobs
	if r.Params.Closed {
		list = reader.ClosedJobs
	}
	jobs, err := list(ctx)
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

// CloseJob ends a job for good.
func (h *handlers) CloseJob(ctx context.Context, r CloseJobRequestObject) (CloseJobResponseObject, error) {
	day, err := parseDay(r.Body.ClosedOn)
	if err != nil {
		return nil, err
	}
	end := app.Closing{Outcome: domain.JobOutcome(r.Body.Outcome), On: day, Why: r.Body.Why}
	j, err := h.app.CloseJob(ctx, actorOf(ctx), r.ID, end)
	if err != nil {
		return nil, err
	}
	return CloseJob200JSONResponse{
		Body: renderJob(j), Headers: CloseJob200ResponseHeaders{ETag: versionTag(j.Version, fullView)},
	}, nil
}

// GetJobDates shows what is left of a job on the calendar.
func (h *handlers) GetJobDates(ctx context.Context, r GetJobDatesRequestObject) (GetJobDatesResponseObject, error) {
	t, err := h.app.JobDates(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.JobDates{Job: r.ID, Queued: renderTimeline(t), Note: jobDatesNote}
	tag, err := digestTag(body)
	return GetJobDates200JSONResponse{Body: body, Headers: GetJobDates200ResponseHeaders{ETag: tag}}, err
}

// jobDatesNote says what the dates of a job are and are not.
const jobDatesNote = "By a plan of what is left of every job, with the people of the crew who are there and one instrument at a time at each " +
	"place of limited number; the earlier a job is in the queue, the more its date weighs. It is no promise."

func renderJob(v app.Versioned[domain.Job]) openapi.Job {
	j := v.Value
	out := openapi.Job{
		ID: j.ID, Instrument: j.Instrument, Scope: j.Scope, AcceptedOn: j.AcceptedOn.String(), Place: j.Place,
		State: openapi.JobState(j.State), Outcome: openapi.JobOutcome(j.Outcome), ClosedOn: orNoDay(j.ClosedOn),
		Tasks: renderAll(j.Tasks, renderTask), Suspensions: renderAll(j.Suspensions, renderSuspension),
		Version: v.Version, CreatedAt: v.CreatedAt,
	}
	return out
}

func renderTask(t domain.Task) openapi.Task {
	out := openapi.Task{
		Operation: string(t.Operation), Planned: t.Planned, Done: t.Done, Left: t.Left, FinishedAt: orZeroTime(t.FinishedAt),
		Dropped: t.Dropped,
	}
	if t.Line != nil {
		out.Name = t.Line.Name
	}
	return out
}

// orNoDay leaves out a day that there is not.
func orNoDay(d domain.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}
