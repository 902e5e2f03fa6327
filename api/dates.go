package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/plan"
	"bentside/openapi"
)

// datesNote says how the two sets of dates were computed.
const datesNote = "\"alone\" is the critical path as if every person and station were free; " +
	"\"queued\" is a plan among the jobs in progress, with the places of the stations and the " +
	"people of the crew; the earlier a job is in the queue, the more its date weighs. Neither is a " +
	"promise."

// GetScopeDates shows a scope on the calendar.
func (h *handlers) GetScopeDates(
	ctx context.Context, r GetScopeDatesRequestObject,
) (GetScopeDatesResponseObject, error) {
	d, assumed, err := h.app.Dates(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.Dates{
		Scope: r.ID, Alone: renderTimeline(d.Alone), Queued: renderTimeline(d.Queued), Note: datesNote,
		Assumptions: convert.All(assumed, convert.Assumption),
	}
	tag, err := etag.Digest(body)
	return GetScopeDates200JSONResponse{
		Body: body, Headers: GetScopeDates200ResponseHeaders{ETag: tag},
	}, err
}

// renderTimeline renders dates; its instants are in the workshop's time zone, so their days are
// too.
func renderTimeline(t plan.Timeline) openapi.Timeline {
	return openapi.Timeline{
		ReadyOn: domain.DateOf(t.Ready).String(), ReadyAt: t.Ready,
		Path: convert.All(t.Path, renderPathStep), Steps: convert.All(t.Steps, renderDatedStep),
	}
}

func renderPathStep(s plan.PathStep) openapi.PathStep {
	return openapi.PathStep{
		Instrument: s.Instrument, Operation: string(s.Operation), Name: s.Name, Start: s.Start,
		Why: s.Why,
	}
}

func renderDatedStep(s plan.Step) openapi.DatedStep {
	return openapi.DatedStep{
		Operation: string(s.Operation), Name: s.Name, Sitting: s.Sitting, Start: s.Start,
		Finish: s.Finish, Released: s.Released, LateStart: convert.TimeOrZero(s.LateStart),
		TotalFloatHours: s.TotalFloat, FreeFloatHours: s.FreeFloat,
	}
}
