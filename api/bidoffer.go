package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/openapi"
	"bentside/pricing"
)

// ListBidOffers lists a page of the offers and answers on a bid.
func (h *handlers) ListBidOffers(
	ctx context.Context, r ListBidOffersRequestObject,
) (ListBidOffersResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Bid(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Offers(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfBidOffer)
	return ListBidOffers200JSONResponse{
		Body: openapi.BidOfferPage{
			Items: convert.All(rows, renderBidOffer), NextCursor: next.Cursor,
		},
		Headers: ListBidOffers200ResponseHeaders{Link: next.Link},
	}, nil
}

// RecordBidOffer records the next offer or answer on a bid.
func (h *handlers) RecordBidOffer(
	ctx context.Context, r RecordBidOfferRequestObject,
) (RecordBidOfferResponseObject, error) {
	a := middleware.Actor(ctx)
	b, err := h.app.Bid(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	o, err := readBidOffer(*r.Body, b.Inputs.Workshop.Terms.Currency)
	if err != nil {
		return nil, err
	}
	o.Bid = r.ID
	made, err := h.app.RecordOffer(ctx, a, o)
	if err != nil {
		return nil, err
	}
	out := renderBidOffer(made.StoredOffer)
	out.Warning = renderOfferWarning(made.Warning)
	return RecordBidOffer201JSONResponse(out), nil
}

func renderOfferWarning(w *bid.Warning) *openapi.BidOfferWarning {
	if w == nil {
		return nil
	}
	out := openapi.BidOfferWarning{
		Says: w.Text, AboveAim: convert.OptionalMoney(w.AboveAim),
		Profit:       convert.OptionalMoney(w.Profit),
		TargetProfit: convert.OptionalMoney(w.Wanted),
	}
	if w.ChanceOfLoss != nil {
		told := pricing.ReportedChance(*w.ChanceOfLoss)
		out.ChanceOfLoss = &told
	}
	return &out
}

func readBidOffer(d openapi.BidOfferDraft, currency string) (bid.Offer, error) {
	r := convert.AmountReader{Currency: currency}
	o := bid.Offer{
		Kind: bid.OfferKind(d.Kind), Depth: catalogue.Depth(d.Depth),
		Amount: r.Optional("#/amount", d.Amount), StockNumber: d.StockNumber, Reason: d.Reason,
		Note: d.Note, TaxShown: d.TaxShown,
	}
	if err := r.Faults.Err(); err != nil || d.On == "" {
		return o, err
	}
	var err error
	o.On, err = convert.ParseDay(d.On)
	return o, err
}

func placeOfBidOffer(o postgres.StoredOffer) postgres.Place {
	return postgres.Place{CreatedAt: o.CreatedAt, ID: o.ID}
}

func renderBidOffer(o postgres.StoredOffer) openapi.BidOffer {
	out := openapi.BidOffer{
		ID: o.ID, Bid: o.Bid, Instrument: o.Instrument, Kind: openapi.BidOfferKind(o.Kind),
		Depth: openapi.Depth(o.Depth), On: o.On.String(), StockNumber: o.StockNumber, Reason: o.Reason,
		Note: o.Note, RecordedBy: o.By, CreatedAt: o.CreatedAt,
		OpenRegimes: convert.Regimes(o.OpenRegimes),
	}
	if o.Amount != nil {
		amount := convert.Amount(*o.Amount, o.Currency)
		out.Amount = &amount
	}
	return out
}
