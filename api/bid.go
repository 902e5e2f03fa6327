package api

import (
	"context"
	"encoding/hex"

	"bentside/api/postgres"
	"bentside/openapi"
)

// ListBids lists a page of an instrument's bids.
func (h *handlers) ListBids(ctx context.Context, r ListBidsRequestObject) (ListBidsResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Bids(ctx, r.ID, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, placeOfBid, renderBidHead)
	return ListBids200JSONResponse{
		Body: openapi.BidPage{Items: out.Items, NextCursor: out.Next}, Headers: ListBids200ResponseHeaders{Link: out.Link},
	}, nil
}

// CreateBid works out what to pay.
func (h *handlers) CreateBid(ctx context.Context, r CreateBidRequestObject) (CreateBidResponseObject, error) {
	a := actorOf(ctx)
	w, err := h.app.Read(ctx, a).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	request, err := readBid(r.ID, *r.Body, w.Value.Terms.Currency)
	if err != nil {
		return nil, err
	}
	b, err := h.app.WorkOutBid(ctx, a, request)
	if err != nil {
		return nil, err
	}
	return CreateBid201JSONResponse{
		Body: renderBid(b),
		Headers: CreateBid201ResponseHeaders{
			ETag: versionTag(onlyVersion, fullView), Location: "/v1/bids/" + b.ID.String(),
		},
	}, nil
}

// onlyVersion is the version of what never changes.
const onlyVersion = 1

// GetBid shows a bid as it was worked out.
func (h *handlers) GetBid(ctx context.Context, r GetBidRequestObject) (GetBidResponseObject, error) {
	b, err := h.app.Bid(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	return GetBid200JSONResponse{
		Body: renderBid(b), Headers: GetBid200ResponseHeaders{ETag: versionTag(onlyVersion, fullView)},
	}, nil
}

// GetBidInputs shows the stored inputs, byte for byte.
func (h *handlers) GetBidInputs(ctx context.Context, r GetBidInputsRequestObject) (GetBidInputsResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	b, err := reader.Bid(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	document, err := reader.Document(ctx, b.Inputs)
	return bidInputs(document), err
}

// bidInputs answers with a document as it is stored: the generated answer would
// write it anew.
type bidInputs []byte

// RecomputeBid works a bid out again and compares.
func (h *handlers) RecomputeBid(ctx context.Context, r RecomputeBidRequestObject) (RecomputeBidResponseObject, error) {
	a := actorOf(ctx)
	b, err := h.app.Read(ctx, a).Bid(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	now, err := h.app.RecomputeBid(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	out := RecomputeBid200JSONResponse{
		Identical: now.Same, Engine: now.Engine, StoredEngine: b.Engine, Says: now.Says, StoredSHA256: hex.EncodeToString(now.Stored[:]),
	}
	if now.Now != (postgres.Hash{}) {
		out.ResultSHA256 = hex.EncodeToString(now.Now[:])
	}
	return out, nil
}

func placeOfBid(b postgres.Bid) postgres.Place {
	return postgres.Place{CreatedAt: b.CreatedAt, ID: b.ID}
}

func renderBidHead(b postgres.Bid) openapi.BidHead {
	return openapi.BidHead{ID: b.ID, Instrument: b.Instrument, Survey: b.Survey, Engine: b.Engine, CreatedAt: b.CreatedAt}
}
