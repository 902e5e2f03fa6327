package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/cost"
	"bentside/openapi"
)

// instrumentCostNote says what the figures include and what they do not.
const instrumentCostNote = "The inventory view is the cost of stock before any write-down. Neither " +
	"view has tax that is reclaimed, or what the instrument will sell for. Hours that were stated in a " +
	"sum when a job was taken over cost what the old records say, and nothing where they say nothing."

// GetInstrumentCost shows what an instrument has cost.
func (h *handlers) GetInstrumentCost(
	ctx context.Context, r GetInstrumentCostRequestObject,
) (GetInstrumentCostResponseObject, error) {
	c, err := h.app.InstrumentCost(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := openapi.InstrumentCost{
		Instrument: r.ID, Spent: renderViews(c.Spent), Sums: convert.All(c.Sums, renderCostSum),
		Committed: convert.Money(c.Committed), AtCompletion: convert.MoneySpan(c.AtCompletion),
		Jobs: convert.All(c.Jobs, renderJobCost), Note: instrumentCostNote,
	}
	if c.Purchase != nil {
		body.Purchase = renderCostDocument(*c.Purchase)
	}
	tag, err := etag.Digest(body)
	return GetInstrumentCost200JSONResponse{
		Body: body, Headers: GetInstrumentCost200ResponseHeaders{ETag: tag},
	}, err
}

// GetJobCost shows what a job has cost and will cost.
func (h *handlers) GetJobCost(
	ctx context.Context, r GetJobCostRequestObject,
) (GetJobCostResponseObject, error) {
	c, err := h.app.JobCost(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderJobCost(c)
	tag, err := etag.Digest(body)
	return GetJobCost200JSONResponse{
		Body: body, Headers: GetJobCost200ResponseHeaders{ETag: tag},
	}, err
}

// ListCostLines lists a page of what an instrument has cost.
func (h *handlers) ListCostLines(
	ctx context.Context, r ListCostLinesRequestObject,
) (ListCostLinesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.CostLines(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfCostLine)
	return ListCostLines200JSONResponse{
		Body: openapi.CostLinePage{
			Items: convert.All(rows, renderCostLine), NextCursor: next.Cursor,
		},
		Headers: ListCostLines200ResponseHeaders{Link: next.Link},
	}, nil
}

// ListJobCostLines lists a page of what a job has cost.
func (h *handlers) ListJobCostLines(
	ctx context.Context, r ListJobCostLinesRequestObject,
) (ListJobCostLinesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.JobCostLines(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfCostLine)
	return ListJobCostLines200JSONResponse{
		Body: openapi.CostLinePage{
			Items: convert.All(rows, renderCostLine), NextCursor: next.Cursor,
		},
		Headers: ListJobCostLines200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfCostLine(l cost.Line) postgres.Place {
	return postgres.Place{CreatedAt: l.RecordedAt, ID: l.ID}
}

// GetWorkInProgress shows what the open jobs had cost at the end of a day.
func (h *handlers) GetWorkInProgress(
	ctx context.Context, r GetWorkInProgressRequestObject,
) (GetWorkInProgressResponseObject, error) {
	day, err := convert.ParseOptionalDay(r.Params.AsOf)
	if err != nil {
		return nil, err
	}
	w, err := h.app.WorkInProgress(ctx, middleware.Actor(ctx), day)
	if err != nil {
		return nil, err
	}
	body := openapi.WorkInProgress{
		AsOf: w.On.String(), Posted: convert.Money(w.Posted), Known: convert.Money(w.Known),
		Difference: convert.Money(w.Difference()), Jobs: convert.All(w.Jobs, renderJobInProgress),
		Late: convert.All(w.LateLines, renderCostLine), LateSum: convert.Money(w.Late),
		LateLeftOut: w.LateLeftOut, OneWay: convert.All(w.OneWay, renderOneWay),
	}
	tag, err := etag.Digest(body)
	return GetWorkInProgress200JSONResponse{
		Body: body, Headers: GetWorkInProgress200ResponseHeaders{ETag: tag},
	}, err
}

func renderJobInProgress(j cost.InProgress) openapi.JobInProgress {
	return openapi.JobInProgress{
		Job: j.Job, Instrument: j.Instrument, Owner: openapi.Ownership(j.Owner),
		Posted: convert.OptionalMoney(j.Posted), Known: convert.OptionalMoney(j.Known),
	}
}

func renderOneWay(x cost.OneWay) openapi.JobOneWay {
	out := openapi.JobOneWay{
		Job: x.Job, Instrument: x.Instrument, Amount: convert.Money(x.Amount),
		What: openapi.JobOneWayWhat(x.What), On: x.On.String(), PostedOn: x.PostedOn.String(),
	}
	if !x.RecordedAt.IsZero() {
		out.RecordedAt = &x.RecordedAt
	}
	return out
}

func renderViews(v cost.Views) openapi.CostViews {
	return openapi.CostViews{
		Inventory: convert.Money(v.Inventory), Management: convert.Money(v.Management),
	}
}

func renderCostSum(s cost.Sum) openapi.CostSum {
	return openapi.CostSum{
		Kind: openapi.CostKind(s.Kind), Purpose: openapi.CostPurpose(s.Purpose),
		Inventory: convert.Money(s.Inventory), Management: convert.Money(s.Management),
		Minutes: int64(s.Minutes), Lines: s.Lines,
	}
}

func renderCostLine(l cost.Line) openapi.CostLine {
	return openapi.CostLine{
		ID: l.ID, Instrument: l.Instrument, Job: l.Job, Operation: string(l.Operation),
		Kind: openapi.CostKind(l.Kind), Purpose: openapi.CostPurpose(l.Purpose),
		Amount: convert.Money(l.Amount), Inventory: l.Inventory(), Minutes: int64(l.Minutes),
		Rate: l.Rate, Quantity: l.Quantity, Unit: l.Unit, On: l.On.String(),
		PostedOn: l.PostedOn.String(), SourceKind: openapi.CostSource(l.Source), Source: l.SourceID,
		Origin: l.Origin, RecordedBy: l.RecordedBy, RecordedAt: l.RecordedAt,
	}
}

func renderJobCost(c app.JobCost) openapi.JobCost {
	out := openapi.JobCost{
		Job: c.Job.ID, State: openapi.JobState(c.Job.State), Spent: renderViews(c.Spent),
		Sums: convert.All(c.Sums, renderCostSum), PendingMinutes: int64(c.PendingMinutes),
		Pending: convert.Money(c.Pending), Committed: convert.Money(c.Committed),
		ToGo: convert.MoneySpan(c.ToGo), AtCompletion: convert.MoneySpan(c.AtCompletion),
		BilledBefore: convert.OptionalMoney(c.BilledBefore),
	}
	if c.Baseline != nil {
		out.Baseline = convert.MoneySpan(*c.Baseline)
	}
	if v := c.Variance; v != nil {
		out.Variance = openapi.CostVariance{
			Scope: convert.Money(v.Scope), Hours: convert.Money(v.Hours), Rate: convert.Money(v.Rate),
			Price: convert.Money(v.Price), Rework: convert.Money(v.Rework), Beyond: convert.Money(v.Beyond),
			Total: convert.Money(v.Total),
		}
	}
	return out
}
