package api

import (
	"context"

	"bentside/api/convert"

	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/openapi"
)

// BuyInstrument records what an instrument was bought for.
func (h *handlers) BuyInstrument(
	ctx context.Context, r BuyInstrumentRequestObject,
) (BuyInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	p := cost.Purchase{Document: cost.Document{
		Instrument: r.ID, Party: b.Seller, Reference: b.Reference, On: on, Note: b.Note,
	}}
	var f domain.Faults
	p.Price = convert.ReadOptionalMoney(&f, "#/price", b.Price)
	p.Premium = convert.ReadMoneyOrZero(&f, "#/premium", b.Premium)
	p.Transport = convert.ReadMoneyOrZero(&f, "#/transport", b.Transport)
	p.Duty = convert.ReadMoneyOrZero(&f, "#/duty", b.Duty)
	p.Tax = convert.ReadMoneyOrZero(&f, "#/tax", b.Tax)
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err := h.app.BuyInstrument(ctx, middleware.Actor(ctx), p)
	return BuyInstrument201JSONResponse(renderCostDocument(d)), err
}

// stages are the kinds of document of the steps of outside work.
var stages = map[openapi.OutsideWorkDraftStage]cost.DocumentKind{
	"agreed": cost.OutsideAgreed, "accrued": cost.OutsideAccrued, "billed": cost.OutsideBilled,
}

// RecordOutsideWork records a step of outside work on a task.
func (h *handlers) RecordOutsideWork(
	ctx context.Context, r RecordOutsideWorkRequestObject,
) (RecordOutsideWorkResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	d := cost.Document{
		Kind: stages[b.Stage], Job: r.ID, Operation: catalogue.Code(b.Operation), Party: b.Firm,
		Reference: b.Reference, Of: b.Of, On: on, Note: b.Note,
		Amount: convert.ReadMoneyOrZero(&f, "#/amount", &b.Amount),
		Tax:    convert.ReadMoneyOrZero(&f, "#/tax", b.Tax),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err = h.app.RecordOutsideWork(ctx, middleware.Actor(ctx), d)
	return RecordOutsideWork201JSONResponse(renderCostDocument(d)), err
}

// RecordOtherCost records another direct cost of an instrument.
func (h *handlers) RecordOtherCost(
	ctx context.Context, r RecordOtherCostRequestObject,
) (RecordOtherCostResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	o := cost.OtherDraft{
		Document: cost.Document{
			Instrument: r.ID, Job: b.Job, Operation: catalogue.Code(b.Operation), Party: b.Firm,
			Reference: b.Reference, Purpose: cost.Purpose(b.Purpose), On: on, Note: b.Note,
			Kind:   cost.OtherCost,
			Amount: convert.ReadMoneyOrZero(&f, "#/amount", &b.Amount),
			Tax:    convert.ReadMoneyOrZero(&f, "#/tax", b.Tax),
		},
		Kind: cost.Kind(b.Kind), Inventory: b.Inventory,
	}
	if o.Kind == "" {
		o.Kind = cost.Other
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	d, err := h.app.RecordOtherCost(ctx, middleware.Actor(ctx), o)
	return RecordOtherCost201JSONResponse(renderCostDocument(d)), err
}

// ReverseCost takes a document of cost back.
func (h *handlers) ReverseCost(
	ctx context.Context, r ReverseCostRequestObject,
) (ReverseCostResponseObject, error) {
	d, err := h.app.ReverseCost(ctx, middleware.Actor(ctx), r.ID, r.Body.Why)
	return ReverseCost201JSONResponse(renderCostDocument(d)), err
}

// GetCostDocument shows one document of cost.
func (h *handlers) GetCostDocument(
	ctx context.Context, r GetCostDocumentRequestObject,
) (GetCostDocumentResponseObject, error) {
	d, err := h.app.Read(ctx, middleware.Actor(ctx)).CostDocument(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetCostDocument200JSONResponse{
		Body:    renderCostDocument(d),
		Headers: GetCostDocument200ResponseHeaders{ETag: etag.Version(1)}, // never changed
	}, nil
}

// ListCostDocuments lists a page of the documents of cost of an instrument.
func (h *handlers) ListCostDocuments(
	ctx context.Context, r ListCostDocumentsRequestObject,
) (ListCostDocumentsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.CostDocuments(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfCostDocument)
	return ListCostDocuments200JSONResponse{
		Body: openapi.CostDocumentPage{
			Items: convert.All(rows, renderCostDocument), NextCursor: next.Cursor,
		},
		Headers: ListCostDocuments200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfCostDocument(d cost.Document) postgres.Place {
	return postgres.Place{CreatedAt: d.RecordedAt, ID: d.ID}
}

func renderCostDocument(d cost.Document) openapi.CostDocument {
	return openapi.CostDocument{
		ID: d.ID, Kind: openapi.CostDocumentKind(d.Kind), Instrument: d.Instrument, Job: d.Job,
		Operation: string(d.Operation), Party: d.Party, Reference: d.Reference,
		Purpose: openapi.CostPurpose(d.Purpose), Amount: convert.Money(d.Amount),
		Tax: convert.Money(d.Tax), Of: d.Of, Opening: d.Opening,
		OpenRegimes: convert.Texts[domain.TaxRegime, openapi.TaxRegime](d.OpenRegimes),
		MarginPrice: convert.OptionalMoney(d.MarginPrice),
		On:          d.On.String(), PostedOn: d.PostedOn.String(), Note: d.Note,
		RecordedBy: d.RecordedBy, RecordedAt: d.RecordedAt,
	}
}
