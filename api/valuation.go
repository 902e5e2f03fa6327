package api

import (
	"context"
	"fmt"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
	"bentside/openapi"
)

// ValueInstrument records what an instrument of ours is worth.
func (h *handlers) ValueInstrument(
	ctx context.Context, r ValueInstrumentRequestObject,
) (ValueInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	v := sale.Valuation{
		Instrument: r.ID, On: on, Note: b.Evidence,
		Price:      convert.ReadMoney(&f, "#/price", b.Price),
		ToComplete: convert.ReadMoneyOrZero(&f, "#/to_complete", b.ToComplete),
		ToSell:     convert.ReadMoneyOrZero(&f, "#/to_sell", b.ToSell),
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	v, err = h.app.ValueInstrument(ctx, middleware.Actor(ctx), v)
	if err != nil {
		return nil, err
	}
	look := sale.Look{Valuation: v, Counts: v.WrittenDown()}
	return ValueInstrument201JSONResponse(renderValuation(look)), nil
}

// ListValuations lists a page of the valuations of an instrument.
func (h *handlers) ListValuations(
	ctx context.Context, r ListValuationsRequestObject,
) (ListValuationsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.ValuationsOf(ctx, middleware.Actor(ctx), r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(l sale.Look) postgres.Place {
		return postgres.Place{Key: strconv.Itoa(l.Valuation.Number), ID: l.Valuation.ID}
	})
	return ListValuations200JSONResponse{
		Body: openapi.ValuationPage{
			Items: convert.All(rows, renderValuation), NextCursor: next.Cursor,
		},
		Headers: ListValuations200ResponseHeaders{Link: next.Link},
	}, nil
}

// WriteOffInstrument records that an instrument of ours is gone without a sale.
func (h *handlers) WriteOffInstrument(
	ctx context.Context, r WriteOffInstrumentRequestObject,
) (WriteOffInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	l, err := h.app.WriteOffInstrument(ctx, middleware.Actor(ctx), sale.Loss{
		Instrument: r.ID, Kind: sale.LossKind(b.How), On: on, Note: b.Why,
	})
	if err != nil {
		return nil, err
	}
	return WriteOffInstrument201JSONResponse(*renderLoss(&app.LostInstrument{Loss: l})), nil
}

// PartOutInstrument records that an instrument of ours was taken apart.
func (h *handlers) PartOutInstrument(
	ctx context.Context, r PartOutInstrumentRequestObject,
) (PartOutInstrumentResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	p := sale.PartingOut{Instrument: r.ID, On: on, Note: b.Why}
	for i, x := range b.Parts {
		p.Parts = append(p.Parts, sale.RecoveredPart{
			Part: x.Part, Quantity: x.Quantity, Unit: x.Unit,
			Worth: convert.ReadMoney(&f, fmt.Sprintf("#/parts/%d/worth", i), x.Worth),
		})
	}
	if b.Expense != nil {
		expense := convert.ReadMoney(&f, "#/expense", *b.Expense)
		p.Expense = &expense
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	l, err := h.app.PartOutInstrument(ctx, middleware.Actor(ctx), p)
	if err != nil {
		return nil, err
	}
	return PartOutInstrument201JSONResponse(*renderLoss(&l)), nil
}

func renderValuation(l sale.Look) openapi.Valuation {
	v := l.Valuation
	return openapi.Valuation{
		ID: v.ID, Instrument: v.Instrument, Number: int32(v.Number), //nolint:gosec // far fewer
		Price:      convert.Money(v.Price),
		ToComplete: convert.Money(v.ToComplete), ToSell: convert.Money(v.ToSell),
		Realisable: convert.Money(v.Realisable()), Cost: convert.Money(v.Cost),
		CarryingBefore: convert.Money(v.Carrying), Carrying: convert.Money(v.Now),
		WrittenDown: convert.Money(v.WrittenDown()), WrittenDownNow: convert.Money(l.Counts),
		On: v.On.String(), PostedOn: v.PostedOn.String(), Evidence: v.Note, RecordedBy: v.RecordedBy,
		RecordedAt: v.RecordedAt,
	}
}

// renderLoss renders a loss; nil where there is none.
func renderLoss(l *app.LostInstrument) *openapi.InstrumentLoss {
	if l == nil {
		return nil
	}
	out := &openapi.InstrumentLoss{
		Instrument: l.Instrument, How: openapi.KindOfLoss(l.Kind), Carrying: convert.Money(l.Carrying),
		On: l.On.String(), PostedOn: l.PostedOn.String(), Why: l.Note, Advice: l.Advice,
		RecordedBy: l.RecordedBy, RecordedAt: l.RecordedAt,
	}
	for _, p := range l.Parts {
		out.Parts = append(out.Parts, openapi.RecoveredPart{
			Part: p.Part, Quantity: p.Quantity, Unit: p.Unit, Worth: convert.Money(p.Worth),
			Cost: convert.Money(p.Cost), Receipt: p.Receipt,
		})
	}
	return out
}
