package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
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
	body.Assumptions = convert.All(assumed, convert.Assumption)
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
			Operation: l.Ref, Name: l.Title, Chance: l.Chance, Skill: l.Skill, Hours: convert.Hours(l.Hours),
			Costs: renderLineCosts(l.Costs), Steps: convert.All(l.Steps, renderStep),
			Standing: standings[l.Ref], Lengthened: l.Lengthened,
		}
	}
	return openapi.Estimate{
		Scope: s.ID, Depth: openapi.Depth(s.Depth), Revision: convert.RevisionNumber(s.Revision),
		Currency: e.Currency.Code(), Lines: convert.All(e.Lines, line),
		Skills: convert.All(e.Skills, renderSkillHours), Hours: convert.HoursSpan(e.Hours),
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
		Labour: convert.LikelyMoney(c.Labour), Overhead: convert.LikelyMoney(c.Overhead),
		Materials: convert.LikelyMoney(c.Materials), Outside: convert.LikelyMoney(c.Outside),
		Total: convert.MoneySpan(c.Total),
	}
}

func renderLineCosts(c pricing.Costs) openapi.LineCosts {
	return openapi.LineCosts{
		Labour: convert.MoneyRange(c.Labour), Overhead: convert.MoneyRange(c.Overhead),
		Materials: convert.MoneyRange(c.Materials), Outside: convert.MoneyRange(c.Outside),
		Total: convert.MoneyRange(c.Total),
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
		Quantity: p.Quantity, Weight: p.Weight, Rate: p.Rate, Amount: convert.Money(p.Amount),
	}
}
