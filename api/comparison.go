package api

import (
	"context"

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
	body.Assumptions = convertAll(assumed, renderAssumption)
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
		Items: convertAll(list, func(m plan.MakeOrBuy) openapi.MakeOrBuy {
			return viewOf(a).makeOrBuy(m)
		}),
		Assumptions: convertAll(assumed, renderAssumption),
	}
	tag, err := etag.Digest(body)
	return GetMakeOrBuy200JSONResponse{
		Body: body, Headers: GetMakeOrBuy200ResponseHeaders{ETag: tag},
	}, err
}

// renderComparison renders the lines of a comparison without its two scopes.
func renderComparison(c scope.Comparison) openapi.ScopeComparison {
	return openapi.ScopeComparison{
		OnlyHere:  convertAll(c.OnlyHere, renderScopeLine),
		OnlyThere: convertAll(c.OnlyThere, renderScopeLine),
		Changed:   convertAll(c.Changed, renderLineDifference), Unchanged: c.Same,
		Settled: convertAll(c.Settled, renderChoiceDifference),
	}
}

func renderLineDifference(d scope.LineDifference) openapi.LineDifference {
	return openapi.LineDifference{
		Operation: string(d.Here.Operation), Name: d.Here.Name,
		Differs: convertTexts[scope.Aspect, openapi.LineDifferenceDiffers](d.In),
		Here:    renderScopeLine(d.Here), There: renderScopeLine(d.There),
	}
}

func renderInHouseWay(w plan.InHouse) *openapi.InHouseWay {
	out := &openapi.InHouseWay{
		Hours: renderThreePoint(w.Hours), Ordered: w.Lead.Item, ReadyOn: domain.DateOf(w.Ready).String(),
	}
	if w.Lead.Item != "" {
		weeks := renderThreePoint(w.Lead.Weeks)
		out.OrderedWeeks = &weeks
	}
	return out
}

func renderOutsideWay(w plan.Outside) *openapi.OutsideWay {
	return &openapi.OutsideWay{
		TurnRoundWeeks: renderThreePoint(w.TurnRound), ReadyOn: domain.DateOf(w.Ready).String(),
	}
}
