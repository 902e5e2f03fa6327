package api

import (
	"context"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// costToGoNote says what the ways hold and what they do not.
const costToGoNote = "What was spent so far is the same whatever is decided, and is in none of the ways. The work to go counts labour, overhead, " +
	"materials of tasks that are not begun and outside work that is not back; nothing is counted for money tied up. Whether and how the " +
	"sale is taxed is for your adviser."

// GetCostToGo shows the ways to go on with an instrument of our own.
func (h *handlers) GetCostToGo(ctx context.Context, r GetCostToGoRequestObject) (GetCostToGoResponseObject, error) {
	q, err := readWayOut(r.Params)
	if err != nil {
		return nil, err
	}
	c, err := h.app.CostToGo(ctx, actorOf(ctx), r.ID, q)
	if err != nil {
		return nil, err
	}
	body := openapi.CostToGo{
		Job: r.ID, SpentHours: c.SpentHours.Likely, Spent: renderMoney(c.Spent), Ways: renderAll(c.Ways, renderWayOut), Note: costToGoNote,
	}
	if c.Before != nil {
		before := renderMoney(*c.Before)
		body.SpentBefore = &before
	}
	tag, err := digestTag(body)
	return GetCostToGo200JSONResponse{Body: body, Headers: GetCostToGo200ResponseHeaders{ETag: tag}}, err
}

// readWayOut reads what the ways are expected to fetch.
func readWayOut(p openapi.GetCostToGoParams) (domain.WayOutQuestion, error) {
	q := domain.WayOutQuestion{Depth: catalogue.Depth(p.Depth)}
	var hours *decimal.Decimal
	var faults domain.Faults
	for _, x := range []struct {
		name, text string
		into       **decimal.Decimal
	}{
		{"sale", p.Sale, &q.Sale},
		{"depth_sale", p.DepthSale, &q.DepthSale},
		{"parts_sale", p.PartsSale, &q.PartsSale},
		{"parts_hours", p.PartsHours, &hours},
		{"bought_for", p.BoughtFor, &q.BoughtFor},
	} {
		if x.text == "" {
			continue
		}
		d, err := decimal.NewFromString(x.text)
		if err != nil {
			faults.Add("#/query/"+x.name, "is no decimal")
		}
		*x.into = &d
	}
	if hours != nil {
		q.PartsHours = *hours
	}
	return q, faults.Err()
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
