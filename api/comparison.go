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

// CompareScopes shows two scopes line by line.
func (h *handlers) CompareScopes(
	ctx context.Context, r CompareScopesRequestObject,
) (CompareScopesResponseObject, error) {
	a := middleware.Actor(ctx)
	c, err := h.app.CompareScopes(ctx, a, r.ID, r.Params.With)
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, a)
	if err != nil {
		return nil, err
	}
	body := renderComparison(c.Lines)
	body.Assumptions = convert.All(assumed, convert.Assumption)
	body.Here, body.There = viewOf(a).comparedScope(c.Here), viewOf(a).comparedScope(c.There)
	tag, err := etag.Digest(body)
	return CompareScopes200JSONResponse{
		Body: body, Headers: CompareScopes200ResponseHeaders{ETag: tag},
	}, err
}

// GetMakeOrBuy shows the lines that a firm can do, in house and outside.
func (h *handlers) GetMakeOrBuy(
	ctx context.Context, r GetMakeOrBuyRequestObject,
) (GetMakeOrBuyResponseObject, error) {
	a := middleware.Actor(ctx)
	list, err := h.app.MakeOrBuy(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, a)
	if err != nil {
		return nil, err
	}
	body := openapi.MakeOrBuyList{
		Items: convert.All(list, func(m plan.MakeOrBuy) openapi.MakeOrBuy {
			return viewOf(a).makeOrBuy(m)
		}),
		Assumptions: convert.All(assumed, convert.Assumption),
	}
	tag, err := etag.Digest(body)
	return GetMakeOrBuy200JSONResponse{
		Body: body, Headers: GetMakeOrBuy200ResponseHeaders{ETag: tag},
	}, err
}

// renderComparison renders the lines of a comparison without its two scopes.
func renderComparison(c scope.Comparison) openapi.ScopeComparison {
	return openapi.ScopeComparison{
		OnlyHere:  convert.All(c.OnlyHere, convert.ScopeLine),
		OnlyThere: convert.All(c.OnlyThere, convert.ScopeLine),
		Changed:   convert.All(c.Changed, renderLineDifference), Unchanged: c.Same,
		Settled: convert.All(c.Settled, renderChoiceDifference),
	}
}

func renderLineDifference(d scope.LineDifference) openapi.LineDifference {
	return openapi.LineDifference{
		Operation: string(d.Here.Operation), Name: d.Here.Name,
		Differs: convert.Texts[scope.Aspect, openapi.LineDifferenceDiffers](d.In),
		Here:    convert.ScopeLine(d.Here), There: convert.ScopeLine(d.There),
	}
}

func renderInHouseWay(w plan.InHouse) *openapi.InHouseWay {
	out := &openapi.InHouseWay{
		Hours: convert.ThreePoint(w.Hours), Ordered: w.Lead.Item,
		ReadyOn: domain.DateOf(w.Ready).String(),
	}
	if w.Lead.Item != "" {
		weeks := convert.ThreePoint(w.Lead.Weeks)
		out.OrderedWeeks = &weeks
	}
	return out
}

func renderOutsideWay(w plan.Outside) *openapi.OutsideWay {
	return &openapi.OutsideWay{
		TurnRoundWeeks: convert.ThreePoint(w.TurnRound), ReadyOn: domain.DateOf(w.Ready).String(),
	}
}
