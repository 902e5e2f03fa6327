package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
)

// TakeDeposit records that a buyer left a deposit.
func (h *handlers) TakeDeposit(
	ctx context.Context, r TakeDepositRequestObject,
) (TakeDepositResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	m := sale.DepositMove{
		Instrument: r.ID, Buyer: b.Buyer, On: on, Note: b.Note,
		Amount: convert.ReadMoney(&f, "#/amount", b.Amount),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err := h.app.TakeDeposit(ctx, middleware.Actor(ctx), m)
	if err != nil {
		return nil, err
	}
	return TakeDeposit201JSONResponse(renderDeposit(d)), nil
}

// ReleaseDeposit records that a deposit is refunded or forfeited.
func (h *handlers) ReleaseDeposit(
	ctx context.Context, r ReleaseDepositRequestObject,
) (ReleaseDepositResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	m := sale.DepositMove{
		Deposit: r.ID, Kind: sale.DepositMoveKind(b.How), Taxed: b.Taxed, On: on, Note: b.Why,
		Amount: convert.ReadMoneyOrZero(&f, "#/amount", b.Amount),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err := h.app.ReleaseDeposit(ctx, middleware.Actor(ctx), m)
	if err != nil {
		return nil, err
	}
	return ReleaseDeposit201JSONResponse(renderDeposit(d)), nil
}

// ListDeposits lists a page of the deposits for an instrument.
func (h *handlers) ListDeposits(
	ctx context.Context, r ListDepositsRequestObject,
) (ListDepositsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Deposits(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(d sale.Deposit) postgres.Place {
		return postgres.Place{CreatedAt: d.RecordedAt, ID: d.ID}
	})
	return ListDeposits200JSONResponse{
		Body: openapi.DepositPage{
			Items: convert.All(rows, renderDeposit), NextCursor: next.Cursor,
		},
		Headers: ListDeposits200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderDeposit(d sale.Deposit) openapi.Deposit {
	return openapi.Deposit{
		ID: d.ID, Instrument: d.Instrument, Job: d.Job, Buyer: d.Buyer, Amount: convert.Money(d.Amount),
		Held: convert.Money(d.Held()), Applied: convert.Money(d.Applied),
		Refunded: convert.Money(d.Refunded), Forfeited: convert.Money(d.Forfeited),
		Reversed: convert.Money(d.Reversed), Tax: convert.Money(d.Tax), Sale: d.Sale,
		On: d.On.String(), PostedOn: d.PostedOn.String(), Note: d.Note,
		RecordedBy: d.RecordedBy, RecordedAt: d.RecordedAt,
	}
}
