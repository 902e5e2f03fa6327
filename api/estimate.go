package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/openapi"
	"bentside/pricing"
)

// GetEstimate shows a scope in hours, parts and money.
func (h *handlers) GetEstimate(
	ctx context.Context, r GetEstimateRequestObject,
) (GetEstimateResponseObject, error) {
	s, e, err := h.app.Estimate(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.EstimateAssumes(ctx, middleware.Actor(ctx), s, e)
	if err != nil {
		return nil, err
	}
	body := renderEstimate(s, e)
	body.Assumptions = convertAll(assumed, renderAssumption)
	tag, err := etag.Digest(body)
	return GetEstimate200JSONResponse{
		Body: body, Headers: GetEstimate200ResponseHeaders{ETag: tag},
	}, err
}

func renderEstimate(s app.DrawnScope, e pricing.Estimate) openapi.Estimate {
	standings := map[string]string{}
	for _, l := range s.Scope.Lines {
		standings[string(l.Operation)] = string(l.Standing)
	}
	line := func(l pricing.CostedLine) openapi.EstimateLine {
		return openapi.EstimateLine{
			Operation: l.Ref, Name: l.Title, Chance: l.Chance, Skill: l.Skill, Hours: renderHours(l.Hours),
			Costs: renderLineCosts(l.Costs), Steps: convertAll(l.Steps, renderStep),
			Standing: standings[l.Ref], Lengthened: l.Lengthened,
		}
	}
	return openapi.Estimate{
		Scope: s.ID, Depth: openapi.Depth(s.Depth), Revision: revisionNumber(s.Revision),
		Currency: e.Currency.Code(), Lines: convertAll(e.Lines, line),
		Skills: convertAll(e.Skills, renderSkillHours), Hours: renderHoursSpan(e.Hours),
		Costs: renderCosts(e.Costs),
	}
}

func renderSkillHours(s pricing.SkillHours) openapi.SkillHours {
	return openapi.SkillHours{
		Skill: s.Skill, Hours: openapi.LikelyHours{Likely: s.Hours.Likely, Expected: s.Hours.Expected},
	}
}

func renderCosts(c pricing.Costs) openapi.Costs {
	return openapi.Costs{
		Labour: renderLikely(c.Labour), Overhead: renderLikely(c.Overhead),
		Materials: renderLikely(c.Materials), Outside: renderLikely(c.Outside),
		Total: renderSpan(c.Total),
	}
}

func renderLineCosts(c pricing.Costs) openapi.LineCosts {
	return openapi.LineCosts{
		Labour: renderRange(c.Labour), Overhead: renderRange(c.Overhead),
		Materials: renderRange(c.Materials), Outside: renderRange(c.Outside), Total: renderRange(c.Total),
	}
}

func renderStep(s pricing.Step) openapi.Step {
	return openapi.Step{
		Kind: openapi.StepKind(s.Kind.String()), Ref: s.Ref, Unit: s.Unit,
		Low: renderProduct(s.Low), Likely: renderProduct(s.Likely), High: renderProduct(s.High),
	}
}

func renderProduct(p pricing.Product) openapi.Product {
	return openapi.Product{
		Quantity: p.Quantity, Weight: p.Weight, Rate: p.Rate, Amount: renderMoney(p.Amount),
	}
}
