package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// datesNote says what the two sets of dates are and are not.
const datesNote = "\"alone\" is the critical path as if every person and place were free; \"queued\" is a plan among the jobs in progress, " +
	"with places of limited number and the people of the crew, the earlier job in the queue weighing more. Neither is a promise."

// GetDates shows a scope on the calendar.
func (h *handlers) GetDates(ctx context.Context, r GetDatesRequestObject) (GetDatesResponseObject, error) {
	d, err := h.app.Dates(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.Dates{Scope: r.ID, Alone: renderTimeline(d.Alone), Queued: renderTimeline(d.Queued), Note: datesNote}
	tag, err := digestTag(body)
	return GetDates200JSONResponse{Body: body, Headers: GetDates200ResponseHeaders{ETag: tag}}, err
}

// renderTimeline reads the days off the instants, which stand in the workshop's
// zone.
func renderTimeline(t domain.Timeline) openapi.Timeline {
	return openapi.Timeline{
		ReadyOn: domain.DateOf(t.Ready).String(), ReadyAt: t.Ready,
		Path: renderAll(t.Path, renderPathStep), Steps: renderAll(t.Steps, renderDatedStep),
	}
}

func renderPathStep(s domain.PathStep) openapi.PathStep {
	return openapi.PathStep{Instrument: s.Instrument, Operation: string(s.Operation), Name: s.Name, Start: s.Start, Why: s.Why}
}

func renderDatedStep(s domain.Step) openapi.DatedStep {
	return openapi.DatedStep{
		Operation: string(s.Operation), Name: s.Name, Sitting: s.Sitting, Start: s.Start, Finish: s.Finish, Released: s.Released,
		LateStart: orZeroTime(s.LateStart), TotalFloatHours: s.TotalFloat, FreeFloatHours: s.FreeFloat,
	}
}
