package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/openapi"
)

// GetJobBaseline shows what was planned when a job was accepted.
func (h *handlers) GetJobBaseline(
	ctx context.Context, r GetJobBaselineRequestObject,
) (GetJobBaselineResponseObject, error) {
	b, err := h.app.Baseline(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := viewOf(middleware.Actor(ctx)).baseline(b)
	body.Job = r.ID
	tag, err := etag.Digest(body)
	return GetJobBaseline200JSONResponse{
		Body: body, Headers: GetJobBaseline200ResponseHeaders{ETag: tag},
	}, err
}

func renderBaseline(b job.Baseline) openapi.Baseline {
	out := openapi.Baseline{
		AcceptedOn: b.AcceptedOn.String(), Depth: openapi.Depth(b.Depth),
		Revision: convert.RevisionNumber(b.Revision), PlannedHours: b.Hours,
		Lines: convert.All(b.Lines, renderBaselineLine), Links: convert.All(b.Links, renderTie),
		NoDate: b.NoPlan, Steps: []openapi.DatedStep{},
	}
	if b.Plan != nil {
		out.ReadyOn = domain.DateOf(b.Plan.Ready).String()
		out.Steps = convert.All(b.Plan.Steps, renderDatedStep)
	}
	return out
}

func renderBaselineLine(l scope.Line) openapi.BaselineLine {
	return openapi.BaselineLine{
		Operation: string(l.Operation), Name: l.Name, Hours: convert.ThreePoint(l.Hours),
		Sessions: l.Sessions,
	}
}

func renderTie(t plan.OperationLink) openapi.BaselineLink {
	return openapi.BaselineLink{From: renderSitting(t.From), To: renderSitting(t.To), Says: t.Text}
}

func renderSitting(s plan.LinkEnd) openapi.BaselineSitting {
	return openapi.BaselineSitting{Operation: string(s.Operation), Sitting: s.Number}
}
