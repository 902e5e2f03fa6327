package api

import (
	"context"
	"fmt"

	"bentside/api/convert"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/openapi"
)

// GetOverhead shows the overhead account of some days.
func (h *handlers) GetOverhead(
	ctx context.Context, r GetOverheadRequestObject,
) (GetOverheadResponseObject, error) {
	p, err := parsePeriod(r.Params.From, r.Params.Through)
	if err != nil {
		return nil, err
	}
	a, err := h.app.Overhead(ctx, middleware.Actor(ctx), p)
	if err != nil {
		return nil, err
	}
	body := renderOverheadAccount(a)
	tag, err := etag.Digest(body)
	return GetOverhead200JSONResponse{
		Body: body, Headers: GetOverhead200ResponseHeaders{ETag: tag},
	}, err
}

func parsePeriod(from, through string) (p cost.Period, err error) {
	if p.From, err = convert.ParseDay(from); err != nil {
		return p, err
	}
	p.Through, err = convert.ParseDay(through)
	return p, err
}

// ListOverheadCosts lists a page of what overhead has cost.
func (h *handlers) ListOverheadCosts(
	ctx context.Context, r ListOverheadCostsRequestObject,
) (ListOverheadCostsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).OverheadCosts(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(o cost.OverheadCost) postgres.Place {
		return postgres.Place{CreatedAt: o.RecordedAt, ID: o.ID}
	})
	return ListOverheadCosts200JSONResponse{
		Body: openapi.OverheadCostPage{
			Items: convert.All(rows, renderOverheadCost), NextCursor: next.Cursor,
		},
		Headers: ListOverheadCosts200ResponseHeaders{Link: next.Link},
	}, nil
}

// RecordOverhead records what overhead has cost.
func (h *handlers) RecordOverhead(
	ctx context.Context, r RecordOverheadRequestObject,
) (RecordOverheadResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	amount := convert.ReadMoney(&f, "#/amount", r.Body.Amount)
	if err := f.Err(); err != nil {
		return nil, err
	}
	o, err := h.app.RecordOverhead(ctx, middleware.Actor(ctx), cost.OverheadCost{
		Kind: cost.OverheadKind(r.Body.Kind), Amount: amount, On: on, Note: r.Body.Note,
	})
	return RecordOverhead201JSONResponse(renderOverheadCost(o)), err
}

// ReverseOverhead takes back overhead that was recorded wrongly.
func (h *handlers) ReverseOverhead(
	ctx context.Context, r ReverseOverheadRequestObject,
) (ReverseOverheadResponseObject, error) {
	o, err := h.app.ReverseOverhead(ctx, middleware.Actor(ctx), r.ID, r.Body.Why)
	return ReverseOverhead201JSONResponse(renderOverheadCost(o)), err
}

// ListOverheadDispositions lists a page of the dispositions of overhead.
func (h *handlers) ListOverheadDispositions(
	ctx context.Context, r ListOverheadDispositionsRequestObject,
) (ListOverheadDispositionsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Dispositions(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(d cost.Disposition) postgres.Place {
		return postgres.Place{CreatedAt: d.RecordedAt, ID: d.ID}
	})
	return ListOverheadDispositions200JSONResponse{
		Body: openapi.OverheadDispositionPage{
			Items: convert.All(rows, renderDisposition), NextCursor: next.Cursor,
		},
		Headers: ListOverheadDispositions200ResponseHeaders{Link: next.Link},
	}, nil
}

// DisposeOverhead clears the overhead account of some days.
func (h *handlers) DisposeOverhead(
	ctx context.Context, r DisposeOverheadRequestObject,
) (DisposeOverheadResponseObject, error) {
	p, err := parsePeriod(r.Body.From, r.Body.Through)
	if err != nil {
		return nil, err
	}
	d, err := h.app.DisposeOverhead(ctx, middleware.Actor(ctx), cost.Disposition{
		Period: p, Remainder: cost.Remainder(r.Body.Remainder), Note: r.Body.Note,
	}, r.Params.DryRun)
	if err != nil {
		return nil, err
	}
	if d.DryRun {
		return DisposeOverhead200JSONResponse(renderWholeDisposition(d)), nil
	}
	return DisposeOverhead201JSONResponse(renderWholeDisposition(d)), nil
}

// GetOverheadDisposition shows a disposition of overhead with its lines.
func (h *handlers) GetOverheadDisposition(
	ctx context.Context, r GetOverheadDispositionRequestObject,
) (GetOverheadDispositionResponseObject, error) {
	d, err := h.app.Disposition(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderWholeDisposition(d)
	tag, err := etag.Digest(body)
	return GetOverheadDisposition200JSONResponse{
		Body: body, Headers: GetOverheadDisposition200ResponseHeaders{ETag: tag},
	}, err
}

// RestoreOverhead takes a disposition of overhead back.
func (h *handlers) RestoreOverhead(
	ctx context.Context, r RestoreOverheadRequestObject,
) (RestoreOverheadResponseObject, error) {
	d, err := h.app.RestoreOverhead(ctx, middleware.Actor(ctx), r.ID, r.Body.Why)
	return RestoreOverhead201JSONResponse(renderWholeDisposition(d)), err
}

func renderOverheadAccount(a app.OverheadAccount) openapi.OverheadAccount {
	out := openapi.OverheadAccount{
		From: a.From.String(), Through: a.Through.String(), Issued: convert.Money(a.Material),
		Actual: convert.Money(a.Actual()), Notional: convert.Money(a.Notional()),
		Applied: convert.Money(a.Applied), Minutes: a.Minutes,
		UnderApplied: convert.Money(a.UnderApplied()), Disposed: convert.Money(a.Disposed),
		Balance: convert.Money(a.Balance()),
		Spent: convert.All(a.Spent, func(s cost.SpentOverhead) openapi.OverheadSum {
			return openapi.OverheadSum{
				Kind: openapi.OverheadKind(s.Kind), Amount: convert.Money(s.Amount), Minutes: s.Minutes,
			}
		}),
		UnsetOn: convert.DayOrEmpty(a.Capacity.Unset),
	}
	if c := a.Cause; c != nil {
		normal := a.Capacity.Hours.Round(domain.DecimalPlaces)
		idle, spending := convert.Money(c.Idle), convert.Money(c.Spending)
		out.NormalHours, out.IdleHours, out.Idle, out.Spending = &normal, &c.IdleHours, &idle, &spending
	}
	return out
}

func renderOverheadCost(o cost.OverheadCost) openapi.OverheadCost {
	return openapi.OverheadCost{
		ID: o.ID, Kind: openapi.OverheadKind(o.Kind), Amount: convert.Money(o.Amount),
		Minutes: int64(o.Minutes), Rate: o.Rate, On: o.On.String(), PostedOn: o.PostedOn.String(),
		SourceKind: openapi.OverheadCostSourceKind(o.Source), Source: o.SourceID, Origin: o.Origin,
		Note: o.Note, RecordedBy: o.RecordedBy, RecordedAt: o.RecordedAt,
	}
}

func renderDisposition(d cost.Disposition) openapi.OverheadDisposition {
	return openapi.OverheadDisposition{
		ID: d.ID, From: d.From.String(), Through: d.Through.String(),
		Remainder: openapi.OverheadRemainder(d.Remainder), Note: d.Note, Reverses: d.Reverses,
		ReversedBy: d.ReversedBy, Applied: convert.Money(d.Applied), Actual: convert.Money(d.Actual),
		Minutes: d.Minutes, NormalHours: d.NormalHours, IdleHours: d.IdleHours,
		Idle: convert.Money(d.Idle), Spending: convert.Money(d.Spending),
		InProgress: convert.Money(d.Places.InProgress), Finished: convert.Money(d.Places.Finished),
		CostOfSales: convert.Money(d.Places.CostOfSales), Expense: convert.Money(d.Places.Expense),
		RecordedBy: d.RecordedBy, RecordedAt: d.RecordedAt,
	}
}

func renderWholeDisposition(d app.ShownDisposition) openapi.OverheadDisposition {
	out := renderDisposition(d.Disposition)
	out.Lines = convert.All(d.Lines, renderCostLine)
	if out.DryRun = d.DryRun; d.DryRun {
		none := openapi.OverheadDisposition{}
		out.ID, out.RecordedBy, out.RecordedAt = none.ID, none.RecordedBy, none.RecordedAt
	}
	return out
}

// readEstimate reads what overhead is expected to come to.
func readEstimate(list []openapi.EstimatedOverhead) ([]cost.EstimatedOverhead, error) {
	var f domain.Faults
	out := make([]cost.EstimatedOverhead, len(list))
	for i, x := range list {
		out[i] = cost.EstimatedOverhead{
			Kind: cost.OverheadKind(x.Kind), Fixed: x.Fixed,
			Amount: convert.ReadMoney(&f, fmt.Sprintf("#/estimate/%d/amount", i), x.Amount),
		}
	}
	return out, f.Err()
}

func renderEstimated(x cost.EstimatedOverhead) openapi.EstimatedOverhead {
	return openapi.EstimatedOverhead{
		Kind: openapi.EnteredOverheadKind(x.Kind), Amount: convert.Money(x.Amount), Fixed: x.Fixed,
	}
}
