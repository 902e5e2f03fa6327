package api

import (
	"context"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/openapi"
)

// ListJobs lists a page of the jobs in the order of the queue, or of those that are closed.
func (h *handlers) ListJobs(
	ctx context.Context, r ListJobsRequestObject,
) (ListJobsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Jobs(ctx, r.Params.Closed, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfJob)
	return ListJobs200JSONResponse{
		Body:    openapi.JobPage{Items: convert.All(rows, renderJob), NextCursor: next.Cursor},
		Headers: ListJobs200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfJob(j app.Versioned[job.Job]) postgres.Place {
	return postgres.Place{Key: strconv.Itoa(j.Value.QueuePlace), ID: j.Value.ID}
}

// CreateJob accepts a scope, which becomes a job.
func (h *handlers) CreateJob(
	ctx context.Context, r CreateJobRequestObject,
) (CreateJobResponseObject, error) {
	day, err := convert.ParseDay(r.Body.AcceptedOn)
	if err != nil {
		return nil, err
	}
	x := app.Acceptance{Scope: r.Body.Scope, On: day}
	if c := r.Body.Consent; c != nil {
		given, err := convert.ParseDay(c.GivenOn)
		if err != nil {
			return nil, err
		}
		x.Consent = &job.WorkConsent{
			Consent: job.Consent{Party: c.Party, On: given, How: c.How}, To: c.To,
		}
	}
	j, err := h.app.AcceptScope(ctx, middleware.Actor(ctx), x)
	if err != nil {
		return nil, err
	}
	body, tag, err := h.wholeJob(ctx, j)
	return CreateJob201JSONResponse{
		Body: body,
		Headers: CreateJob201ResponseHeaders{
			ETag: tag, Location: "/v1/jobs/" + j.Value.ID.String(),
		},
	}, err
}

// GetJob shows a job with its tasks.
func (h *handlers) GetJob(
	ctx context.Context, r GetJobRequestObject,
) (GetJobResponseObject, error) {
	j, err := h.app.Read(ctx, middleware.Actor(ctx)).Job(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body, tag, err := h.wholeJob(ctx, j)
	return GetJob200JSONResponse{Body: body, Headers: GetJob200ResponseHeaders{ETag: tag}}, err
}

// wholeJob renders a job with what stops its instrument and what it rests on; the tag covers all.
func (h *handlers) wholeJob(
	ctx context.Context, j app.Versioned[job.Job],
) (openapi.Job, string, error) {
	actor := middleware.Actor(ctx)
	out := renderJob(j)
	stops, err := h.app.JobStops(ctx, actor, j.Value)
	if err != nil {
		return out, "", err
	}
	out.Stops = convert.All(stops, convert.Stop)
	basis, err := h.app.JobBasis(ctx, actor, j.Value)
	if err != nil {
		return out, "", err
	}
	viewOf(actor).addBasis(&out, basis)
	tag, err := etag.Derived(j.Version, out)
	return out, tag, err
}

// PutJobPlace moves a job in the queue.
func (h *handlers) PutJobPlace(
	ctx context.Context, r PutJobPlaceRequestObject,
) (PutJobPlaceResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	j, err := h.app.MoveJob(ctx, middleware.Actor(ctx), r.ID, r.Body.Place, version)
	if err != nil {
		return nil, err
	}
	return PutJobPlace200JSONResponse{
		Body: renderJob(j), Headers: PutJobPlace200ResponseHeaders{ETag: etag.Version(j.Version)},
	}, nil
}

// CloseJob ends a job for good.
func (h *handlers) CloseJob(
	ctx context.Context, r CloseJobRequestObject,
) (CloseJobResponseObject, error) {
	day, err := convert.ParseDay(r.Body.ClosedOn)
	if err != nil {
		return nil, err
	}
	end := app.Closing{Outcome: job.Outcome(r.Body.Outcome), On: day, Why: r.Body.Why}
	j, err := h.app.CloseJob(ctx, middleware.Actor(ctx), r.ID, end)
	if err != nil {
		return nil, err
	}
	return CloseJob200JSONResponse{
		Body: renderJob(j), Headers: CloseJob200ResponseHeaders{ETag: etag.Version(j.Version)},
	}, nil
}

// GetJobDates shows when the tasks left of a job are planned.
func (h *handlers) GetJobDates(
	ctx context.Context, r GetJobDatesRequestObject,
) (GetJobDatesResponseObject, error) {
	t, err := h.app.JobDates(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	j, err := h.app.Read(ctx, middleware.Actor(ctx)).Job(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	stops, err := h.app.JobStops(ctx, middleware.Actor(ctx), j.Value)
	if err != nil {
		return nil, err
	}
	body := openapi.JobDates{
		Job: r.ID, Queued: renderTimeline(t.Timeline), Note: jobDatesNote, Waits: partWaits(t.Supplied),
		Assumptions: convert.All(assumed, convert.Assumption),
		Stops:       convert.All(stops.Barring(catalogue.ToWork, catalogue.ToMove), convert.Stop),
	}
	tag, err := etag.Digest(body)
	return GetJobDates200JSONResponse{
		Body: body, Headers: GetJobDates200ResponseHeaders{ETag: tag},
	}, err
}

func partWaits(list []plan.Supplied) []openapi.PartWait {
	var waits []openapi.PartWait
	for _, s := range list {
		for _, w := range s.Waits {
			waits = append(waits, openapi.PartWait{
				Operation: openapi.OperationCode(s.Operation), From: domain.DateOf(w.From).String(),
				Says: w.Why,
			})
		}
	}
	return waits
}

// jobDatesNote says how the dates were computed.
const jobDatesNote = "From a plan of what is left of every job, with the people of the crew who " +
	"are present and one instrument at a time at each place of a station; the earlier a job is in " +
	"the queue, the more its date weighs. It is not a promise."

func renderJob(v app.Versioned[job.Job]) openapi.Job {
	j := v.Value
	out := openapi.Job{
		ID: j.ID, Instrument: j.Instrument, Scope: j.Scope, AcceptedOn: j.AcceptedOn.String(),
		Place: j.QueuePlace, State: openapi.JobState(j.State), Outcome: openapi.JobOutcome(j.Outcome),
		ClosedOn: convert.DayOrEmpty(j.ClosedOn), Tasks: convert.All(j.Tasks, renderTask),
		Suspensions: convert.All(j.Suspensions, renderSuspension), Version: v.Version,
		CreatedAt: v.CreatedAt,
	}
	return out
}

func renderTask(t job.Task) openapi.Task {
	out := openapi.Task{
		Operation: string(t.Operation), Planned: t.Planned, Done: t.Done, Left: t.Left,
		FinishedAt: convert.TimeOrZero(t.FinishedAt), Dropped: t.Dropped,
	}
	if t.Line != nil {
		out.Name = t.Line.Name
	}
	if x := t.Again; x != nil {
		out.Again = openapi.DoneAgain{
			Proposal: x.Proposal, Because: string(x.Because), Reason: x.Reason, Hours: x.Hours,
			OpenedAt: x.At,
		}
	}
	if o := t.OutOfOrder; o != nil {
		out.OutOfOrder = openapi.OutOfOrder{
			Reason: o.Reason, Ahead: convert.Texts[catalogue.Code, openapi.OperationCode](o.Ahead),
		}
	}
	return out
}
