package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
	"bentside/pricing"
)

// SellInstrument records the sale of an instrument.
func (h *handlers) SellInstrument(
	ctx context.Context, r SellInstrumentRequestObject,
) (SellInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	x := sale.Sale{
		Instrument: r.ID, Buyer: b.Buyer, Regime: domain.TaxRegime(b.Regime), Reference: b.Reference,
		On: on, Note: b.Note, Price: convert.ReadMoney(&f, "#/price", b.Price),
	}
	if e := b.PartExchange; e != nil {
		x.Exchange = &sale.Exchange{
			Instrument: e.Instrument, StockNumber: e.StockNumber, Reference: e.Reference,
			Value: convert.ReadMoney(&f, "#/part_exchange/value", e.Value),
			Tax:   convert.ReadMoneyOrZero(&f, "#/part_exchange/tax", e.Tax),
		}
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	made, err := h.app.SellInstrument(ctx, middleware.Actor(ctx), x)
	if err != nil {
		return nil, err
	}
	return SellInstrument201JSONResponse(renderSale(made)), nil
}

// HandOver records that an instrument that was sold has left us.
func (h *handlers) HandOver(
	ctx context.Context, r HandOverRequestObject,
) (HandOverResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	x, err := h.app.HandOver(ctx, middleware.Actor(ctx), r.ID, sale.HandOver{
		To: b.To, On: on, Note: b.Note,
	})
	if err != nil {
		return nil, err
	}
	return HandOver201JSONResponse(renderSale(x)), nil
}

// TakeBackInstrument records that an instrument that was sold came back.
func (h *handlers) TakeBackInstrument(
	ctx context.Context, r TakeBackInstrumentRequestObject,
) (TakeBackInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	d := sale.ReturnDraft{
		KeptTaxed: b.KeptTaxed, On: on, Note: b.Why,
		Refund:    convert.ReadOptionalMoney(&f, "#/refund", b.Refund),
		CostStays: convert.ReadMoneyOrZero(&f, "#/cost_stays", b.CostStays),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	x, err := h.app.TakeBack(ctx, middleware.Actor(ctx), r.ID, d)
	if err != nil {
		return nil, err
	}
	return TakeBackInstrument201JSONResponse(renderSale(x)), nil
}

// GetSale shows a sale.
func (h *handlers) GetSale(
	ctx context.Context, r GetSaleRequestObject,
) (GetSaleResponseObject, error) {
	x, err := h.app.Sale(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := renderSale(x)
	tag, err := etag.Digest(body)
	return GetSale200JSONResponse{Body: body, Headers: GetSale200ResponseHeaders{ETag: tag}}, err
}

// ListSales lists a page of the sales of an instrument.
func (h *handlers) ListSales(
	ctx context.Context, r ListSalesRequestObject,
) (ListSalesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.SalesOf(ctx, middleware.Actor(ctx), r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(x sale.Deal) postgres.Place {
		return postgres.Place{CreatedAt: x.Sale.RecordedAt, ID: x.Sale.ID}
	})
	return ListSales200JSONResponse{
		Body:    openapi.SalePage{Items: convert.All(rows, renderSale), NextCursor: next.Cursor},
		Headers: ListSales200ResponseHeaders{Link: next.Link},
	}, nil
}

func renderSale(d sale.Deal) openapi.Sale {
	x := d.Sale
	paper := x.Paper()
	return openapi.Sale{
		ID: x.ID, Instrument: x.Instrument, Number: int32(x.Number), //nolint:gosec // far fewer
		Buyer: x.Buyer, Price: convert.Money(x.Price),
		Tax: openapi.Tax{
			Regime: openapi.TaxRegime(x.Regime), Rate: x.Rate, Base: convert.Money(x.Base),
			Due: convert.Money(x.Tax), Note: pricing.AskAdviser,
		},
		PurchasePrice: convert.OptionalMoney(x.PurchasePrice), ForOwner: renderAgency(x),
		PartExchange: renderExchange(x.Exchange),
		Paper: openapi.SalePaper{
			Wording: paper.Wording, ShowsTax: paper.ShowsTax, StockNumber: x.StockNumber, Says: paper.Says,
		},
		Deposits: convert.Money(x.Deposits), Balance: convert.Money(x.Balance()),
		Sums: renderSaleSums(d), Reference: x.Reference, On: x.On.String(),
		PostedOn: x.PostedOn.String(), Note: x.Note, HandOver: renderHandOver(x.HandOver),
		Return: renderReturn(x.Return), RecordedBy: x.RecordedBy, RecordedAt: x.RecordedAt,
	}
}

func renderSaleSums(d sale.Deal) openapi.SaleSums {
	return openapi.SaleSums{
		Refund: convert.Money(d.Refund), Tax: convert.Money(d.Tax),
		OwedToOwner: convert.Money(d.Owed), OwnerBears: convert.Money(d.Borne),
		NetSales: convert.Money(d.NetSales), AtSale: convert.Money(d.Sale.Carrying),
		AfterSale: convert.Money(d.AfterSale), CostBack: convert.Money(d.CostBack),
		CostOfSales: convert.Money(d.CostOfSales), Margin: convert.Money(d.Margin),
	}
}

// renderHandOver renders a hand-over; nil where there is none.
func renderHandOver(h *sale.HandOver) *openapi.HandOver {
	if h == nil {
		return nil
	}
	return &openapi.HandOver{
		To: h.To, On: h.On.String(), PostedOn: h.PostedOn.String(), Note: h.Note,
		RecordedBy: h.RecordedBy, RecordedAt: h.RecordedAt,
	}
}

// renderReturn renders a return; nil where there is none.
func renderReturn(b *sale.Return) *openapi.SaleReturn {
	if b == nil {
		return nil
	}
	return &openapi.SaleReturn{
		Refund: convert.Money(b.Refund), Kept: convert.Money(b.Kept), KeptTax: convert.Money(b.KeptTax),
		CostOfSales: convert.Money(b.CostOfSales), CostBack: convert.Money(b.CostBack),
		On: b.On.String(), PostedOn: b.PostedOn.String(), Why: b.Note, RecordedBy: b.RecordedBy,
		RecordedAt: b.RecordedAt,
	}
}

// renderExchange renders what was taken in part payment; nil where nothing was.
func renderExchange(e *sale.Exchange) *openapi.PartExchange {
	if e == nil {
		return nil
	}
	return &openapi.PartExchange{
		Instrument: e.Instrument, Value: convert.Money(e.Value), Tax: convert.Money(e.Tax),
		Reference: e.Reference, Purchase: e.Document,
	}
}
