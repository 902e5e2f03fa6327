package api

import (
	"context"
	"fmt"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/job"
	"bentside/openapi"
)

// ListInstrumentQuotations lists a page of the quotations for an instrument.
func (h *handlers) ListInstrumentQuotations(
	ctx context.Context, r ListInstrumentQuotationsRequestObject,
) (ListInstrumentQuotationsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Quotations(ctx, postgres.QuotationFilter{Instrument: r.ID}, asked)
	if err != nil {
		return nil, err
	}
	today, err := h.app.Today(ctx, middleware.Actor(ctx))
	if err != nil {
		return nil, err
	}
	render := func(q job.Quotation) openapi.Quotation { return renderQuotation(q, today) }
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfQuotation)
	return ListInstrumentQuotations200JSONResponse{
		Body:    openapi.QuotationPage{Items: convert.All(rows, render), NextCursor: next.Cursor},
		Headers: ListInstrumentQuotations200ResponseHeaders{Link: next.Link},
	}, nil
}

// ListQuotations lists a page of the quotations for all instruments.
func (h *handlers) ListQuotations(
	ctx context.Context, r ListQuotationsRequestObject,
) (ListQuotationsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	actor := middleware.Actor(ctx)
	today, err := h.app.Today(ctx, actor)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, actor).Quotations(ctx, postgres.QuotationFilter{
		Instrument: r.Params.Instrument, State: job.QuotationState(r.Params.State), Today: today,
		Newest: true,
	}, asked)
	if err != nil {
		return nil, err
	}
	render := func(q job.Quotation) openapi.Quotation { return renderQuotation(q, today) }
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfQuotation)
	return ListQuotations200JSONResponse{
		Body:    openapi.QuotationPage{Items: convert.All(rows, render), NextCursor: next.Cursor},
		Headers: ListQuotations200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfQuotation(q job.Quotation) postgres.Place {
	return postgres.Place{CreatedAt: q.RecordedAt, ID: q.ID}
}

// CreateQuotation records a quotation for the work on a client's instrument.
func (h *handlers) CreateQuotation(
	ctx context.Context, r CreateQuotationRequestObject,
) (CreateQuotationResponseObject, error) {
	b := r.Body
	until, err := convert.ParseDay(b.ValidUntil)
	if err != nil {
		return nil, err
	}
	on, err := convert.ParseOptionalDay(b.QuotedOn)
	if err != nil {
		return nil, err
	}
	in, err := h.amountReader(ctx)
	if err != nil {
		return nil, err
	}
	q := job.Quotation{
		Instrument: r.ID, Party: b.Party, QuotedOn: on, ValidUntil: until,
		Deposit: in.Amount("#/deposit", b.Deposit), Note: b.Note, Replaces: b.Replaces,
	}
	for i, o := range b.Options {
		net := in.Amount(fmt.Sprintf("#/options/%d/net", i), &o.Net)
		q.Options = append(q.Options, job.QuotedOption{
			Scope: o.Scope, Title: o.Title, Net: net, TaxRate: o.TaxRate,
		})
	}
	if err := in.Faults.Err(); err != nil {
		return nil, err
	}
	if q, err = h.app.Quote(ctx, middleware.Actor(ctx), q); err != nil {
		return nil, err
	}
	body, err := h.quotation(ctx, q)
	body.Warnings = q.Warnings
	return CreateQuotation201JSONResponse{
		Body:    body,
		Headers: CreateQuotation201ResponseHeaders{Location: "/v1/quotations/" + q.ID.String()},
	}, err
}

// GetQuotation shows a quotation with its options.
func (h *handlers) GetQuotation(
	ctx context.Context, r GetQuotationRequestObject,
) (GetQuotationResponseObject, error) {
	q, err := h.app.Read(ctx, middleware.Actor(ctx)).Quotation(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body, err := h.quotation(ctx, q)
	if err != nil {
		return nil, err
	}
	tag, err := etag.Digest(body)
	return GetQuotation200JSONResponse{
		Body: body, Headers: GetQuotation200ResponseHeaders{ETag: tag},
	}, err
}

// AnswerQuotation records the client's answer.
func (h *handlers) AnswerQuotation(
	ctx context.Context, r AnswerQuotationRequestObject,
) (AnswerQuotationResponseObject, error) {
	on, err := convert.ParseDay(r.Body.On)
	if err != nil {
		return nil, err
	}
	answer := job.QuotationAnswer{
		Accepted: r.Body.Accepted, Option: int(r.Body.Option), On: on, Note: r.Body.Note,
	}
	q, err := h.app.AnswerQuotation(ctx, middleware.Actor(ctx), r.ID, answer)
	if err != nil {
		return nil, err
	}
	body, err := h.quotation(ctx, q)
	return AnswerQuotation201JSONResponse(body), err
}

// quotation renders a quotation with what stops its instrument.
func (h *handlers) quotation(ctx context.Context, q job.Quotation) (openapi.Quotation, error) {
	actor := middleware.Actor(ctx)
	today, err := h.app.Today(ctx, actor)
	if err != nil {
		return openapi.Quotation{}, err
	}
	stops, err := h.app.Stops(ctx, actor, q.Instrument)
	out := renderQuotation(q, today)
	out.Stops = convert.All(stops, convert.Stop)
	return out, err
}

func renderQuotation(q job.Quotation, today domain.Date) openapi.Quotation {
	out := openapi.Quotation{
		ID: q.ID, Instrument: q.Instrument, Party: q.Party, QuotedOn: q.QuotedOn.String(),
		ValidUntil: q.ValidUntil.String(), Deposit: convert.Money(q.Deposit), Note: q.Note,
		Options:  convert.All(q.Options, renderQuotedOption),
		State:    openapi.QuotationState(q.State(today)),
		QuotedBy: q.QuotedBy, CreatedAt: q.RecordedAt,
	}
	if q.Job != nil {
		out.Job = *q.Job
	}
	out.Replaces, out.ReplacedBy = q.Replaces, q.ReplacedBy
	if a := q.Answer; a != nil {
		out.AnsweredOn, out.AcceptedOption, out.AnswerNote = a.On.String(), a.Option, a.Note
	}
	return out
}

func renderQuotedOption(o job.QuotedOption) openapi.QuotedOption {
	return openapi.QuotedOption{
		Number: o.Number, Scope: o.Scope, Depth: openapi.Depth(o.Depth), Title: o.Title,
		Exclusions: convert.All(o.Waivers, convert.Waiver),
		Net:        convert.Money(o.Net), TaxRate: o.TaxRate,
		Tax: convert.Money(o.Tax), Total: convert.Money(o.Total),
	}
}
