package api

import (
	"context"
	"encoding/hex"
	"time"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
	"bentside/openapi"
)

// planNote says how a plan was computed.
const planNote = "Hours are the likely ones, lengthened by the productive share. People are " +
	"counted by skill; the plan does not say who does which task. It was verified before it was " +
	"stored. It is not a promise and binds nobody."

// The default budget of a plan. The time, which is also the most that may be asked for, stays
// within the time that a request may take.
const (
	defaultSchedules = 1000
	defaultSeconds   = 10
)

// GetPlan shows the newest plan.
func (h *handlers) GetPlan(
	ctx context.Context, _ GetPlanRequestObject,
) (GetPlanResponseObject, error) {
	p, err := h.app.LatestPlan(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	body := viewOf(middleware.Actor(ctx)).plan(p)
	tag, err := etag.Digest(body)
	return GetPlan200JSONResponse{Body: body, Headers: GetPlan200ResponseHeaders{ETag: tag}}, err
}

// MakePlan plans all open jobs anew.
func (h *handlers) MakePlan(
	ctx context.Context, r MakePlanRequestObject,
) (MakePlanResponseObject, error) {
	schedules := r.Body.Schedules
	if schedules == 0 {
		schedules = defaultSchedules
	}
	seconds := r.Body.Seconds
	if seconds == 0 {
		seconds = defaultSeconds
	}
	p, err := h.app.MakePlan(ctx, middleware.Actor(ctx), app.PlanRequest{
		Schedules: schedules, Seed: r.Body.Seed, Limit: time.Duration(seconds) * time.Second,
	})
	if err != nil {
		return nil, err
	}
	body := viewOf(middleware.Actor(ctx)).plan(p)
	tag, err := etag.Digest(body)
	return MakePlan201JSONResponse{
		Body: body, Headers: MakePlan201ResponseHeaders{ETag: tag, Location: "/v1/plan"},
	}, err
}

// ExplainPlannedTask shows the chain of tasks that determines when a task starts in the newest
// plan.
func (h *handlers) ExplainPlannedTask(
	ctx context.Context, r ExplainPlannedTaskRequestObject,
) (ExplainPlannedTaskResponseObject, error) {
	p, err := h.app.LatestPlan(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	steps, err := p.Result.Why(r.ID, catalogue.Code(r.Operation))
	if err != nil {
		return nil, err
	}
	body := openapi.PlanWhy{
		Plan: p.ID, Job: r.ID, Operation: r.Operation, Steps: convert.All(steps, renderPathStep),
	}
	tag, err := etag.Digest(body)
	return ExplainPlannedTask200JSONResponse{
		Body: body, Headers: ExplainPlannedTask200ResponseHeaders{ETag: tag},
	}, err
}

func renderPlan(p app.StoredPlan) openapi.Plan {
	x := p.Result
	return openapi.Plan{
		ID: p.ID, MadeAt: p.CreatedAt, Engine: p.Engine, Seed: p.Seed, Budget: p.Schedules,
		Schedules: x.Schedules, Proven: x.Proven, InputsSHA256: hex.EncodeToString(p.Inputs[:]),
		Note: planNote, Jobs: convert.All(x.Jobs, renderPlannedJob),
		Tasks: convert.All(x.Tasks, renderPlannedTask), Links: convert.All(x.Links, renderPlannedLink),
		Loads:     convert.All(x.Loads, renderLoad),
		Unlimited: append([]string{}, x.Unlimited...),
		Unstaffed: append([]string{}, x.Unstaffed...),

		Assumptions: convert.All(p.Assumptions, convert.Assumption), Stale: convert.FirstChange(p.Moved),
	}
}

func renderPlannedJob(j plan.JobDate) openapi.PlannedJob {
	out := openapi.PlannedJob{
		Job: j.Job, Instrument: j.Instrument, ReadyOn: domain.DateOf(j.Ready).String(), ReadyAt: j.Ready,
	}
	if !j.Due.IsZero() {
		out.PromisedOn = j.Due.String()
	}
	return out
}

func renderPlannedTask(t plan.Task) openapi.PlannedTask {
	s := t.Step
	out := openapi.PlannedTask{
		Job: t.Job, Instrument: t.Instrument, Operation: string(s.Operation), Name: s.Name,
		Sitting: s.Sitting, Start: s.Start, Finish: s.Finish, Released: s.Released, SlackHours: t.Slack,
		Holds: convert.All(t.Holds, renderPlannedHold), Why: t.Why,
	}
	out.LateStart, out.TotalFloatHours = convert.TimeOrZero(s.LateStart), s.TotalFloat
	out.UnderWay = t.UnderWay
	if t.After >= 0 {
		out.After = &t.After
	}
	return out
}

func renderPlannedHold(h plan.Hold) openapi.PlannedHold {
	return openapi.PlannedHold{
		Station: h.Station, Quantity: h.Quantity, Until: h.Until, Working: h.Working,
	}
}

func renderPlannedLink(l plan.TaskLink) openapi.PlannedLink {
	return openapi.PlannedLink{From: l.From, To: l.To, Says: l.Text}
}

func renderLoad(l plan.Load) openapi.PlanLoad {
	return openapi.PlanLoad{
		Kind: openapi.PlanLoadKind(l.Kind), Name: l.Name, Week: l.Week.String(), HeldHours: l.Held,
		OpenHours: l.Open,
	}
}
