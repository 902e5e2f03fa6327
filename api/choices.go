package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/openapi"
)

// GetScopeChoices shows the options of each choice that a scope settles.
func (h *handlers) GetScopeChoices(
	ctx context.Context, r GetScopeChoicesRequestObject,
) (GetScopeChoicesResponseObject, error) {
	a := middleware.Actor(ctx)
	c, err := h.app.Choices(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.ScopeChoices{
		Items: convert.All(c.Choices, func(x plan.Choice) openapi.SettledChoice {
			return openapi.SettledChoice{
				Group: x.Group, Options: convert.All(x.Options, viewOf(a).choiceOption),
			}
		}),
		Unknown: convert.All(c.Scope.Doubts, func(d scope.Doubt) openapi.PointCode {
			return openapi.PointCode(d.Point)
		}),
		Assumptions: convert.All(c.Assumptions, convert.Assumption),
	}
	tag, err := etag.Digest(body)
	return GetScopeChoices200JSONResponse{
		Body: body, Headers: GetScopeChoices200ResponseHeaders{ETag: tag},
	}, err
}

// choiceOption renders an option; without money, it leaves the cost out.
func (v view) choiceOption(o plan.Option) openapi.ChoiceOption {
	out := openapi.ChoiceOption{
		Option: o.Name, Settled: o.Settled, NextOwner: o.NextOwner.Says,
		Standing: string(o.NextOwner.Standing),
	}
	if o.Refused != nil {
		out.Refused, out.Chain = o.Refused.Detail, o.Refused.Chain
		return out
	}
	if o.Settled {
		why := convert.Reason(o.Why)
		out.Why = &why
	}
	out.Undone = convert.All(o.Undone, convert.UndoneFinding)
	out.NeedsWhy, out.Also = o.NeedsWhy, convert.All(o.Also, renderChoiceDifference)
	out.Comes, out.Goes = convert.All(o.Comes, renderOptionLine), convert.All(o.Goes, renderOptionLine)
	out.ComesTo = &openapi.OptionFigures{
		Hours: o.Estimate.Hours.Expected, ReadyOn: domain.DateOf(o.Ready).String(), Days: o.Days,
	}
	if v == withMoney {
		cost := convert.Money(o.Estimate.Costs.Total.Expected)
		out.ComesTo.Cost = &cost
	}
	return out
}

func renderOptionLine(l scope.Line) openapi.OptionLine {
	return openapi.OptionLine{Operation: openapi.OperationCode(l.Operation), Name: l.Name}
}

func renderChoiceDifference(d scope.ChoiceDifference) openapi.ChoiceDifference {
	return openapi.ChoiceDifference{Group: d.Group, Here: d.Here, There: d.There}
}
