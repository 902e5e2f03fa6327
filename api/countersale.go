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
	"bentside/domain/sale"
	"bentside/openapi"
)

// counterNote says what the tax of a counter sale rests on.
const counterNote = "The whole price is taxed at the workshop's rate, if it charges tax. Parts of " +
	"second-hand instruments, and buyers abroad or in trade, may be taxed otherwise: ask your adviser."

// ListCounterSales lists a page of the counter sales, in the order of recording.
func (h *handlers) ListCounterSales(
	ctx context.Context, r ListCounterSalesRequestObject,
) (ListCounterSalesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).CounterSales(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, func(x sale.CounterSale) postgres.Place {
		return postgres.Place{CreatedAt: x.RecordedAt, ID: x.ID}
	})
	return ListCounterSales200JSONResponse{
		Body: openapi.CounterSalePage{
			Items: convert.All(rows, renderCounterSale), NextCursor: next.Cursor,
		},
		Headers: ListCounterSales200ResponseHeaders{Link: next.Link},
	}, nil
}

// GetCounterSale shows one counter sale.
func (h *handlers) GetCounterSale(
	ctx context.Context, r GetCounterSaleRequestObject,
) (GetCounterSaleResponseObject, error) {
	x, err := h.app.Read(ctx, middleware.Actor(ctx)).CounterSale(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	body := renderCounterSale(x)
	tag, err := etag.Digest(body)
	return GetCounterSale200JSONResponse{
		Body: body, Headers: GetCounterSale200ResponseHeaders{ETag: tag},
	}, err
}

// SellOverCounter records a counter sale.
func (h *handlers) SellOverCounter(
	ctx context.Context, r SellOverCounterRequestObject,
) (SellOverCounterResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	var f domain.Faults
	x := sale.CounterSale{Buyer: b.Buyer, Reference: b.Reference, On: on, Note: b.Note}
	for i, l := range b.Lines {
		x.Lines = append(x.Lines, sale.CounterLine{
			Part: l.Part, Quantity: l.Quantity, Unit: l.Unit,
			Price: convert.ReadMoney(&f, fmt.Sprintf("#/lines/%d/price", i), l.Price),
		})
	}
	if err := f.Err(); err != nil {
		return nil, err
	}
	x, err = h.app.SellOverCounter(ctx, middleware.Actor(ctx), x)
	if err != nil {
		return nil, err
	}
	return SellOverCounter201JSONResponse{
		Body:    renderCounterSale(x),
		Headers: SellOverCounter201ResponseHeaders{Location: "/v1/counter-sales/" + x.ID.String()},
	}, nil
}

// TakeBackOverCounter records that goods of a counter sale came back.
func (h *handlers) TakeBackOverCounter(
	ctx context.Context, r TakeBackOverCounterRequestObject,
) (TakeBackOverCounterResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	back := sale.CounterReturn{Sale: r.ID, On: on, Note: b.Note}
	for _, l := range b.Lines {
		back.Lines = append(back.Lines, sale.CounterBack{Line: l.Line, Quantity: l.Quantity})
	}
	x, err := h.app.TakeBackOverCounter(ctx, middleware.Actor(ctx), back)
	if err != nil {
		return nil, err
	}
	return TakeBackOverCounter201JSONResponse(renderCounterSale(x)), nil
}

func renderCounterSale(x sale.CounterSale) openapi.CounterSale {
	s := x.Sums()
	return openapi.CounterSale{
		ID: x.ID, Buyer: x.Buyer, Regime: openapi.TaxRegime(x.Regime), TaxRate: x.Rate,
		Price: convert.Money(x.Price), Refund: convert.Money(s.Refund), Tax: convert.Money(s.Tax),
		NetSales: convert.Money(s.NetSales), CostOfSales: convert.Money(s.CostOfSales),
		Margin: convert.Money(s.Margin), Reference: x.Reference, On: x.On.String(),
		PostedOn: x.PostedOn.String(), Note: x.Note, Advice: counterNote, RecordedBy: x.RecordedBy,
		RecordedAt: x.RecordedAt,
		Lines: convert.All(x.Lines, func(l sale.CounterLine) openapi.CounterSaleLine {
			return openapi.CounterSaleLine{
				Line: l.Number, Part: l.Part, Quantity: l.Quantity, Unit: l.Unit,
				Price: convert.Money(l.Price), Tax: convert.Money(l.Tax), Cost: convert.Money(*l.Cost),
				Issue: l.Issue,
			}
		}),
		Returns: convert.All(x.Returns, renderCounterReturn),
	}
}

func renderCounterReturn(r sale.CounterReturn) openapi.CounterReturn {
	return openapi.CounterReturn{
		ID: r.ID, On: r.On.String(), PostedOn: r.PostedOn.String(), Note: r.Note,
		RecordedBy: r.RecordedBy, RecordedAt: r.RecordedAt,
		Lines: convert.All(r.Lines, func(l sale.CounterBack) openapi.CounterReturnLine {
			return openapi.CounterReturnLine{
				Line: l.Line, Quantity: l.Quantity, Refund: convert.Money(l.Refund),
				Tax: convert.Money(l.Tax), Move: l.Move,
			}
		}),
	}
}
