package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// CompareScopes shows two scopes line by line.
func (h *handlers) CompareScopes(ctx context.Context, r CompareScopesRequestObject) (CompareScopesResponseObject, error) {
	a := actorOf(ctx)
	c, err := h.app.CompareScopes(ctx, a, r.ID, r.Params.With)
	if err != nil {
		return nil, err
	}
	body := renderComparison(c.Lines)
	body.Here, body.There = showComparedScope(c.Here, viewOf(a)), showComparedScope(c.There, viewOf(a))
	tag, err := digestTag(body)
	return CompareScopes200JSONResponse{Body: body, Headers: CompareScopes200ResponseHeaders{ETag: tag}}, err
}

// GetMakeOrBuy shows the lines that a firm can do, both ways.
func (h *handlers) GetMakeOrBuy(ctx context.Context, r GetMakeOrBuyRequestObject) (GetMakeOrBuyResponseObject, error) {
	a := actorOf(ctx)
	list, err := h.app.MakeOrBuy(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.MakeOrBuyList{Items: renderAll(list, func(m domain.MakeOrBuy) openapi.MakeOrBuy { return showMakeOrBuy(m, viewOf(a)) })}
	tag, err := digestTag(body)
	return GetMakeOrBuy200JSONResponse{Body: body, Headers: GetMakeOrBuy200ResponseHeaders{ETag: tag}}, err
}

// renderComparison gives the lines of a comparison, without its two sides.
func renderComparison(c domain.Comparison) openapi.ScopeComparison {
	return openapi.ScopeComparison{
		OnlyHere: renderAll(c.OnlyHere, renderScopeLine), OnlyThere: renderAll(c.OnlyThere, renderScopeLine),
		Changed: renderAll(c.Changed, renderLineDifference), Unchanged: c.Same,
		Settled: renderAll(c.Settled, func(d domain.ChoiceDifference) openapi.ChoiceDifference {
			return openapi.ChoiceDifference{Group: d.Group, Here: d.Here, There: d.There}
		}),
	}
}

func renderLineDifference(d domain.LineDifference) openapi.LineDifference {
	return openapi.LineDifference{
		Operation: string(d.Here.Operation), Name: d.Here.Name, Differs: texts[domain.Aspect, openapi.LineDifferenceDiffers](d.In),
		Here: renderScopeLine(d.Here), There: renderScopeLine(d.There),
	}
}

func renderInHouseWay(w domain.InHouseWay) *openapi.InHouseWay {
	out := &openapi.InHouseWay{
		Hours: renderThreePoint(w.Hours), Ordered: w.Lead.Item, ReadyOn: domain.DateOf(w.Ready).String(),
	}
	if w.Lead.Item != "" {
		weeks := renderThreePoint(w.Lead.Weeks)
		out.OrderedWeeks = &weeks
	}
	return out
}

func renderOutsideWay(w domain.OutsideWay) *openapi.OutsideWay {
	return &openapi.OutsideWay{TurnRoundWeeks: renderThreePoint(w.TurnRound), ReadyOn: domain.DateOf(w.Ready).String()}
}
