package api

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// costToGoNote says what the ways hold and what they do not.
const costToGoNote = "What was spent so far is the same whatever is decided, and is in none of the ways. The work to go counts labour, overhead, " +
	"materials of tasks that are not begun and outside work that is not back; nothing is counted for money tied up. Whether and how the " +
	"sale is taxed is for your adviser."

// GetCostToGo shows the ways to go on with an instrument of our own.
func (h *handlers) GetCostToGo(ctx context.Context, r GetCostToGoRequestObject) (GetCostToGoResponseObject, error) {
	p := r.Params
	c, err := h.app.CostToGo(ctx, actorOf(ctx), r.ID, domain.WayOutQuestion{
		Sale: p.Sale, Depth: catalogue.Depth(p.Depth), DepthSale: p.DepthSale, PartsSale: p.PartsSale, PartsHours: p.PartsHours,
		BoughtFor: p.BoughtFor,
	})
	if err != nil {
		return nil, err
	}
	body := openapi.CostToGo{
		Job: r.ID, SpentHours: c.SpentHours.Likely, Spent: renderMoney(c.Spent), Ways: renderAll(c.Ways, renderWayOut), Note: costToGoNote,
	}
	tag, err := digestTag(body)
	return GetCostToGo200JSONResponse{Body: body, Headers: GetCostToGo200ResponseHeaders{ETag: tag}}, err
}

func renderWayOut(w domain.Remainder) openapi.WayOut {
	out := openapi.WayOut{
		Way: openapi.WayOutWay(w.Way), Depth: openapi.Depth(w.Depth), Hours: w.Hours, CostToGo: renderRange(w.CostToGo),
		Lines: renderAll(w.Lines, renderRemainderLine), LeftOpen: orEmptyList(texts[catalogue.Code, openapi.OperationCode](w.LeftOpen)),
	}
	if !w.Ready.IsZero() {
		out.ReadyOn = domain.DateOf(w.Ready).String()
	}
	if w.Sale != nil {
		sale := renderMoney(*w.Sale)
		out.Sale, out.Left = &sale, renderRange(*w.Left)
	}
	return out
}

func renderRemainderLine(l domain.RemainderLine) openapi.SumLine {
	return openapi.SumLine{Item: l.Item, Amount: renderMoney(l.Amount), Basis: l.Basis}
}
