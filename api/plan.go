package api

import (
	"context"
	"encoding/hex"
	"time"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// planNote says what a plan is and is not.
const planNote = "Hours are the likely ones, lengthened by the productive share; people are counted by their skills and not told which task " +
	"is whose. The plan was checked before it was kept. It is no promise, and none holds anybody to it."

// What is spent on a plan where nothing is said. The time, which is also the most
// that may be asked for, stays well within what a transaction may idle: the plan
// is made between reading what it follows from and keeping it.
const (
	usualSchedules = 1000
	usualSeconds   = 10
)

// GetPlan shows the newest plan.
func (h *handlers) GetPlan(ctx context.Context, _ GetPlanRequestObject) (GetPlanResponseObject, error) {
	p, err := h.app.LatestPlan(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	body := showPlan(p, viewOf(actorOf(ctx)))
	tag, err := digestTag(body)
	return GetPlan200JSONResponse{Body: body, Headers: GetPlan200ResponseHeaders{ETag: tag}}, err
}

// MakePlan plans all jobs now.
func (h *handlers) MakePlan(ctx context.Context, r MakePlanRequestObject) (MakePlanResponseObject, error) {
	schedules := r.Body.Schedules
	if schedules == 0 {
		schedules = usualSchedules
	}
	seconds := r.Body.Seconds
	if seconds == 0 {
		seconds = usualSeconds
	}
	p, err := h.app.MakePlan(ctx, actorOf(ctx), app.PlanRequest{
		Schedules: schedules, Seed: r.Body.Seed, Limit: time.Duration(seconds) * time.Second,
	})
	if err != nil {
		return nil, err
	}
	body := showPlan(p, viewOf(actorOf(ctx)))
	tag, err := digestTag(body)
	return MakePlan201JSONResponse{Body: body, Headers: MakePlan201ResponseHeaders{ETag: tag, Location: "/v1/plan"}}, err
}

// GetPlanWhy shows what binds a task by the newest plan.
func (h *handlers) GetPlanWhy(ctx context.Context, r GetPlanWhyRequestObject) (GetPlanWhyResponseObject, error) {
	p, err := h.app.LatestPlan(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	steps, err := p.Result.Why(r.ID, catalogue.Code(r.Operation))
	if err != nil {
		return nil, err
	}
	body := openapi.PlanWhy{Plan: p.ID, Job: r.ID, Operation: r.Operation, Steps: renderAll(steps, renderPathStep)}
	tag, err := digestTag(body)
	return GetPlanWhy200JSONResponse{Body: body, Headers: GetPlanWhy200ResponseHeaders{ETag: tag}}, err
}

func renderPlan(p app.StoredPlan) openapi.Plan {
	x := p.Result
	return openapi.Plan{
		ID: p.ID, MadeAt: p.CreatedAt, Engine: p.Engine, Seed: p.Seed, Budget: p.Schedules, Schedules: x.Schedules, Proven: x.Proven,
		InputsSHA256: hex.EncodeToString(p.Inputs[:]), Note: planNote,
		Jobs: renderAll(x.Jobs, renderPlannedJob), Tasks: renderAll(x.Tasks, renderPlannedTask), Links: renderAll(x.Links, renderPlannedLink),
		Loads: renderAll(x.Loads, renderLoad), Unlimited: append([]string{}, x.Unlimited...), Unstaffed: append([]string{}, x.Unstaffed...),
	}
}

func renderPlannedJob(j domain.PlannedJob) openapi.PlannedJob {
	out := openapi.PlannedJob{Job: j.Job, Instrument: j.Instrument, ReadyOn: domain.DateOf(j.Ready).String(), ReadyAt: j.Ready}
	if !j.Due.IsZero() {
		out.PromisedOn = j.Due.String()
	}
	return out
}

func renderPlannedTask(t domain.PlannedTask) openapi.PlannedTask {
	s := t.Step
	out := openapi.PlannedTask{
		Job: t.Job, Instrument: t.Instrument, Operation: string(s.Operation), Name: s.Name, Sitting: s.Sitting,
		Start: s.Start, Finish: s.Finish, Released: s.Released, SlackHours: t.Slack, Holds: renderAll(t.Holds, renderPlannedHold), Why: t.Why,
	}
	out.LateStart, out.TotalFloatHours, out.UnderWay = orZeroTime(s.LateStart), s.TotalFloat, t.UnderWay
	if t.After >= 0 {
		out.After = &t.After
	}
	return out
}

func renderPlannedHold(h domain.PlannedHold) openapi.PlannedHold {
	return openapi.PlannedHold{Station: h.Station, Quantity: h.Quantity, Until: h.Until, Working: h.Working}
}

func renderPlannedLink(l domain.PlannedLink) openapi.PlannedLink {
	return openapi.PlannedLink{From: l.From, To: l.To, Says: l.Says}
}

func renderLoad(l domain.Load) openapi.PlanLoad {
	return openapi.PlanLoad{Kind: openapi.PlanLoadKind(l.Kind), Name: l.Name, Week: l.Week.String(), HeldHours: l.Held, OpenHours: l.Open}
}
