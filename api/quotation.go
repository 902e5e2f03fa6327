package api

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListQuotations lists a page of what was quoted for an instrument.
func (h *handlers) ListQuotations(ctx context.Context, r ListQuotationsRequestObject) (ListQuotationsResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Quotations(ctx, r.ID, page)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	render := func(q domain.Quotation) openapi.Quotation { return renderQuotation(q, today) }
	out := renderPage(ctx, h, page, list, placeOfQuotation, render)
	return ListQuotations200JSONResponse{
		Body: openapi.QuotationPage{Items: out.Items, NextCursor: out.Next}, Headers: ListQuotations200ResponseHeaders{Link: out.Link},
	}, nil
}

func placeOfQuotation(q domain.Quotation) postgres.Place {
	return postgres.Place{CreatedAt: q.RecordedAt, ID: q.ID}
}

// Quote quotes for the work on a client's instrument.
func (h *handlers) Quote(ctx context.Context, r QuoteRequestObject) (QuoteResponseObject, error) {
	b := r.Body
	until, err := parseDay(b.ValidUntil)
	if err != nil {
		return nil, err
	}
	on, err := dayOrNone(b.QuotedOn)
	if err != nil {
		return nil, err
	}
	in, err := h.amounts(ctx)
	if err != nil {
		return nil, err
	}
	q := domain.Quotation{
		Instrument: r.ID, Party: b.Party, QuotedOn: on, ValidUntil: until, Deposit: in.amount("#/deposit", b.Deposit), Note: b.Note,
	}
	for i, o := range b.Options {
		net := in.amount(fmt.Sprintf("#/options/%d/net", i), &o.Net)
		q.Options = append(q.Options, domain.QuotedOption{Scope: o.Scope, Title: o.Title, Net: net, TaxRate: o.TaxRate})
	}
	if err := in.faults.Err(); err != nil {
		return nil, err
	}
	if q, err = h.app.Quote(ctx, actorOf(ctx), q); err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	return Quote201JSONResponse{
		Body: renderQuotation(q, today), Headers: Quote201ResponseHeaders{Location: "/v1/quotations/" + q.ID.String()},
	}, err
}

// GetQuotation shows a quotation with its options.
func (h *handlers) GetQuotation(ctx context.Context, r GetQuotationRequestObject) (GetQuotationResponseObject, error) {
	q, err := h.app.Read(ctx, actorOf(ctx)).Quotation(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	if err != nil {
		return nil, err
	}
	body := renderQuotation(q, today)
	tag, err := digestTag(body)
	return GetQuotation200JSONResponse{Body: body, Headers: GetQuotation200ResponseHeaders{ETag: tag}}, err
}

// AnswerQuotation records the client's answer.
func (h *handlers) AnswerQuotation(ctx context.Context, r AnswerQuotationRequestObject) (AnswerQuotationResponseObject, error) {
	on, err := parseDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	answer := domain.QuotationAnswer{Accepted: r.Body.Accepted, Option: int(r.Body.Option), On: on, Note: r.Body.Note}
	q, err := h.app.AnswerQuotation(ctx, actorOf(ctx), r.ID, answer)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, actorOf(ctx))
	return AnswerQuotation201JSONResponse(renderQuotation(q, today)), err
}

func renderQuotation(q domain.Quotation, today domain.Date) openapi.Quotation {
	out := openapi.Quotation{
		ID: q.ID, Instrument: q.Instrument, Party: q.Party, QuotedOn: q.QuotedOn.String(), ValidUntil: q.ValidUntil.String(),
		Deposit: renderMoney(q.Deposit), Note: q.Note, Options: renderAll(q.Options, renderQuotedOption),
		State: openapi.QuotationState(q.State(today)), QuotedBy: q.QuotedBy, CreatedAt: q.RecordedAt,
	}
	if a := q.Answer; a != nil {
		out.AnsweredOn, out.AcceptedOption, out.AnswerNote = a.On.String(), a.Option, a.Note
	}
	return out
}

func renderQuotedOption(o domain.QuotedOption) openapi.QuotedOption {
	return openapi.QuotedOption{
		Number: o.Number, Scope: o.Scope, Depth: openapi.Depth(o.Depth), Title: o.Title, Net: renderMoney(o.Net), TaxRate: o.TaxRate,
		Tax: renderMoney(o.Tax), Total: renderMoney(o.Total),
	}
}
