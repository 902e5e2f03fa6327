package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/contract"
	"bentside/domain/sale"
	"bentside/openapi"
)

// TakeJobDeposit records that a client left a deposit for a job.
func (h *handlers) TakeJobDeposit(
	ctx context.Context, r TakeJobDepositRequestObject,
) (TakeJobDepositResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	m := sale.DepositMove{
		Job: r.ID, Buyer: b.Buyer, On: on, Note: b.Note,
		Amount: convert.ReadMoney(&f, "#/amount", b.Amount),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err := h.app.TakeJobDeposit(ctx, middleware.Actor(ctx), m)
	if err != nil {
		return nil, err
	}
	return TakeJobDeposit201JSONResponse(renderDeposit(d)), nil
}

// ListJobDeposits lists a page of the deposits for a job.
func (h *handlers) ListJobDeposits(
	ctx context.Context, r ListJobDepositsRequestObject,
) (ListJobDepositsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.JobDeposits(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(d sale.Deposit) postgres.Place {
		return postgres.Place{CreatedAt: d.RecordedAt, ID: d.ID}
	})
	return ListJobDeposits200JSONResponse{
		Body: openapi.DepositPage{
			Items: convert.All(rows, renderDeposit), NextCursor: next.Cursor,
		},
		Headers: ListJobDeposits200ResponseHeaders{Link: next.Link},
	}, nil
}

// RaiseInvoice raises an invoice to the client of a job.
func (h *handlers) RaiseInvoice(
	ctx context.Context, r RaiseInvoiceRequestObject,
) (RaiseInvoiceResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	i := contract.Invoice{
		Job: r.ID, Stage: b.Stage, On: on, Note: b.Note,
		Net:     convert.ReadMoney(&f, "#/net", b.Net),
		Deposit: convert.ReadMoneyOrZero(&f, "#/deposit", b.Deposit),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	made, err := h.app.RaiseInvoice(ctx, middleware.Actor(ctx), i, b.TaxRate)
	if err != nil {
		return nil, err
	}
	return RaiseInvoice201JSONResponse(renderInvoice(made)), nil
}

// ListClientInvoices lists a page of the invoices for a job.
func (h *handlers) ListClientInvoices(
	ctx context.Context, r ListClientInvoicesRequestObject,
) (ListClientInvoicesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.ClientInvoices(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(i contract.Invoice) postgres.Place {
		return postgres.Place{CreatedAt: i.RecordedAt, ID: i.ID}
	})
	return ListClientInvoices200JSONResponse{
		Body: openapi.ClientInvoicePage{
			Items: convert.All(rows, renderInvoice), NextCursor: next.Cursor,
		},
		Headers: ListClientInvoices200ResponseHeaders{Link: next.Link},
	}, nil
}

// GetClientInvoice shows an invoice to a client.
func (h *handlers) GetClientInvoice(
	ctx context.Context, r GetClientInvoiceRequestObject,
) (GetClientInvoiceResponseObject, error) {
	i, err := h.app.Read(ctx, middleware.Actor(ctx)).ClientInvoice(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body := renderInvoice(i)
	tag, err := etag.Digest(body)
	return GetClientInvoice200JSONResponse{
		Body: body, Headers: GetClientInvoice200ResponseHeaders{ETag: tag},
	}, err
}

// CreditInvoice takes an invoice to a client back.
func (h *handlers) CreditInvoice(
	ctx context.Context, r CreditInvoiceRequestObject,
) (CreditInvoiceResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	note, err := h.app.CreditInvoice(ctx, middleware.Actor(ctx), r.ID, on, r.Body.Why)
	if err != nil {
		return nil, err
	}
	return CreditInvoice201JSONResponse(renderInvoice(note)), nil
}

// SettleJob settles a job that was given up.
func (h *handlers) SettleJob(
	ctx context.Context, r SettleJobRequestObject,
) (SettleJobResponseObject, error) {
	on, err := convert.ParseOptionalDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	x, err := h.app.SettleJob(ctx, middleware.Actor(ctx), contract.Settlement{
		Job: r.ID, On: on, Note: r.Body.Why,
	})
	if err != nil {
		return nil, err
	}
	return SettleJob201JSONResponse(renderSettlement(x)), nil
}

func renderInvoice(i contract.Invoice) openapi.ClientInvoice {
	return openapi.ClientInvoice{
		ID: i.ID, Job: i.Job, Number: int64(i.Number), Kind: openapi.ClientInvoiceKind(i.Kind), Of: i.Of,
		CreditedBy: i.CreditedBy, Party: i.Client, Stage: i.Stage, Net: convert.Money(i.Net),
		TaxRate: i.Rate, Tax: convert.Money(i.Tax), Total: convert.Money(i.Total()),
		Deposit: convert.Money(i.Deposit), Due: convert.Money(i.Due()), On: i.On.String(),
		PostedOn: i.PostedOn.String(), Note: i.Note, RecordedBy: i.RecordedBy, RecordedAt: i.RecordedAt,
	}
}

func renderSettlement(x contract.Settlement) openapi.Settlement {
	return openapi.Settlement{
		Job: x.Job, On: x.On.String(), PostedOn: x.PostedOn.String(), Why: x.Note,
		RecordedBy: x.RecordedBy, RecordedAt: x.RecordedAt,
	}
}
