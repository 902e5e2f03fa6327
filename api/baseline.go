package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// GetBaseline shows what was planned when a job was accepted.
func (h *handlers) GetBaseline(ctx context.Context, r GetBaselineRequestObject) (GetBaselineResponseObject, error) {
	b, err := h.app.Baseline(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := showBaseline(b, viewOf(actorOf(ctx)))
	body.Job = r.ID
	tag, err := digestTag(body)
	return GetBaseline200JSONResponse{Body: body, Headers: GetBaseline200ResponseHeaders{ETag: tag}}, err
}

func renderBaseline(b domain.Baseline) openapi.Baseline {
	out := openapi.Baseline{
		AcceptedOn: b.AcceptedOn.String(), Depth: openapi.Depth(b.Depth), Revision: revisionNumber(b.Revision), PlannedHours: b.Hours,
		Lines: renderAll(b.Lines, renderBaselineLine), Links: renderAll(b.Links, renderTie), NoDate: b.NoPlan,
		Steps: []openapi.DatedStep{},
	}
	if b.Plan != nil {
		out.ReadyOn = domain.DateOf(b.Plan.Ready).String()
		out.Steps = renderAll(b.Plan.Steps, renderDatedStep)
	}
	return out
}

func renderBaselineLine(l domain.Line) openapi.BaselineLine {
	return openapi.BaselineLine{Operation: string(l.Operation), Name: l.Name, Hours: renderThreePoint(l.Hours), Sessions: l.Sessions}
}

func renderTie(t domain.Tie) openapi.BaselineLink {
	return openapi.BaselineLink{From: renderSitting(t.From), To: renderSitting(t.To), Says: t.Says}
}

func renderSitting(s domain.Sitting) openapi.BaselineSitting {
	return openapi.BaselineSitting{Operation: string(s.Operation), Sitting: s.Number}
}
