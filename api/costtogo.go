package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// costToGoNote says what the figures include and what they do not.
const costToGoNote = "What has been spent is the same whatever is decided, so no way includes " +
	"it. The cost to go includes labour, overhead, materials of tasks not begun and outside work " +
	"not yet returned; it does not include the cost of money tied up. Ask your adviser whether and " +
	"how the sale is taxed."

// cameToNote says what the figures of a closed job are.
const cameToNote = "The job is closed, so that nothing is to go. What it came to follows from its " +
	"own figures: the hours done, the materials of tasks that were begun and outside work that is " +
	"back. It isn't a posted cost."

// GetCostToGo shows the ways to go on with a job.
func (h *handlers) GetCostToGo(
	ctx context.Context, r GetCostToGoRequestObject,
) (GetCostToGoResponseObject, error) {
	q, err := readWayOut(r.Params)
	if err != nil {
		return nil, err
	}
	c, err := h.app.CostToGo(ctx, middleware.Actor(ctx), r.ID, q)
	if err != nil {
		return nil, err
	}
	assumed, err := h.app.DatesAssume(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	body := openapi.CostToGo{
		Job: r.ID, State: openapi.JobState(c.Job.State), Outcome: openapi.JobOutcome(c.Job.Outcome),
		ClosedOn: convert.DayOrEmpty(c.Job.ClosedOn), SpentHours: c.SpentHours.Likely,
		Spent: convert.Money(c.Spent), Ways: convert.All(c.Ways, renderWayOut), Note: costToGoNote,
		Assumptions: convert.All(assumed, convert.Assumption),
	}
	if c.Job.State == job.Closed {
		body.Note = cameToNote
	}
	if c.Before != nil {
		before := convert.Money(*c.Before)
		body.SpentBefore = &before
	}
	tag, err := etag.Digest(body)
	return GetCostToGo200JSONResponse{
		Body: body, Headers: GetCostToGo200ResponseHeaders{ETag: tag},
	}, err
}

// readWayOut parses what each way is expected to fetch.
func readWayOut(p openapi.GetCostToGoParams) (job.AlternativesInput, error) {
	q := job.AlternativesInput{Depth: catalogue.Depth(p.Depth)}
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
			faults.Add("#/query/"+x.name, "must be a decimal")
		}
		*x.into = &d
	}
	if hours != nil {
		q.PartsHours = *hours
	}
	return q, faults.Err()
}

func renderWayOut(w job.Alternative) openapi.WayOut {
	out := openapi.WayOut{
		Way: openapi.WayOutWay(w.Kind), Depth: openapi.Depth(w.Depth), Hours: w.Hours,
		CostToGo: convert.MoneySpan(w.CostToGo), Lines: convert.All(w.Lines, renderRemainderLine),
		LeftOpen: convert.NotNull(convert.Texts[catalogue.Code, openapi.OperationCode](w.LeftOpen)),
	}
	if !w.Ready.IsZero() {
		out.ReadyOn = domain.DateOf(w.Ready).String()
	}
	if w.Sale != nil {
		sale := convert.Money(*w.Sale)
		out.Sale, out.Left = &sale, convert.MoneySpan(*w.Left)
	}
	return out
}

func renderRemainderLine(l job.AlternativeLine) openapi.SumLine {
	return openapi.SumLine{Item: l.Item, Amount: convert.Money(l.Amount), Basis: l.Basis}
}
