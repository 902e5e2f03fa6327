package api

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// ListBidOffers lists a page of the talk about a bid.
func (h *handlers) ListBidOffers(ctx context.Context, r ListBidOffersRequestObject) (ListBidOffersResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Bid(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Offers(ctx, r.ID, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, placeOfBidOffer, renderBidOffer)
	return ListBidOffers200JSONResponse{
		Body: openapi.BidOfferPage{Items: out.Items, NextCursor: out.Next}, Headers: ListBidOffers200ResponseHeaders{Link: out.Link},
	}, nil
}

// RecordBidOffer adds a step to the talk.
func (h *handlers) RecordBidOffer(ctx context.Context, r RecordBidOfferRequestObject) (RecordBidOfferResponseObject, error) {
	a := actorOf(ctx)
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
	return RecordBidOffer201JSONResponse(renderBidOffer(made)), nil
}

func readBidOffer(d openapi.BidOfferDraft, currency string) (domain.Offer, error) {
	r := questionReader{amountIn{currency: currency}}
	o := domain.Offer{
		Kind: domain.OfferKind(d.Kind), Depth: catalogue.Depth(d.Depth), Amount: r.optional("#/amount", d.Amount),
		StockNumber: d.StockNumber, Reason: d.Reason, Note: d.Note,
	}
	if err := r.faults.Err(); err != nil || d.On == "" {
		return o, err
	}
	var err error
	o.On, err = parseDay(d.On)
	return o, err
}

func placeOfBidOffer(o postgres.Offer) postgres.Place {
	return postgres.Place{CreatedAt: o.CreatedAt, ID: o.ID}
}

func renderBidOffer(o postgres.Offer) openapi.BidOffer {
	out := openapi.BidOffer{
		ID: o.ID, Bid: o.Bid, Instrument: o.Instrument, Kind: openapi.BidOfferKind(o.Kind), Depth: openapi.Depth(o.Depth), On: o.On.String(),
		StockNumber: o.StockNumber, Reason: o.Reason, Note: o.Note, RecordedBy: o.By, CreatedAt: o.CreatedAt,
	}
	if o.Amount != nil {
		amount := renderAmount(*o.Amount, o.Currency)
		out.Amount = &amount
	}
	return out
}
