package api

import (
	"context"
	"encoding/hex"
	"net/http"

	"github.com/labstack/echo/v4"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/bid"
	"bentside/openapi"
)

// ListInstrumentBids lists a page of an instrument's bids.
func (h *handlers) ListInstrumentBids(
	ctx context.Context, r ListInstrumentBidsRequestObject,
) (ListInstrumentBidsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Bids(ctx, postgres.BidFilter{Instrument: r.ID}, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfBid)
	return ListInstrumentBids200JSONResponse{
		Body:    openapi.BidPage{Items: convert.All(rows, renderBidHead), NextCursor: next.Cursor},
		Headers: ListInstrumentBids200ResponseHeaders{Link: next.Link},
	}, nil
}

// ListBids lists a page of the bids for all instruments.
func (h *handlers) ListBids(
	ctx context.Context, r ListBidsRequestObject,
) (ListBidsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Bids(ctx, postgres.BidFilter{
		Instrument: r.Params.Instrument, State: bid.State(r.Params.State), Newest: true,
	}, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfBid)
	return ListBids200JSONResponse{
		Body:    openapi.BidPage{Items: convert.All(rows, renderBidHead), NextCursor: next.Cursor},
		Headers: ListBids200ResponseHeaders{Link: next.Link},
	}, nil
}

// CreateBid works out what to pay.
func (h *handlers) CreateBid(
	ctx context.Context, r CreateBidRequestObject,
) (CreateBidResponseObject, error) {
	a := middleware.Actor(ctx)
	w, err := h.app.Read(ctx, a).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	request, err := convert.ReadBid(r.ID, *r.Body, w.Value.Terms.Currency)
	if err != nil {
		return nil, err
	}
	b, err := h.app.WorkOutBid(ctx, a, request)
	if err != nil {
		return nil, err
	}
	body := convert.Bid(b)
	tag, err := bidTag(body)
	return CreateBid201JSONResponse{
		Body: body,
		Headers: CreateBid201ResponseHeaders{
			ETag: tag, Location: "/v1/bids/" + b.ID.String(),
		},
	}, err
}

// GetBid shows a bid as it was worked out, and what was found since.
func (h *handlers) GetBid(
	ctx context.Context, r GetBidRequestObject,
) (GetBidResponseObject, error) {
	b, err := h.app.Bid(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body := convert.Bid(b)
	tag, err := bidTag(body)
	return GetBid200JSONResponse{Body: body, Headers: GetBid200ResponseHeaders{ETag: tag}}, err
}

// onlyVersion is the version of every bid: bids never change.
const onlyVersion = 1

// bidTag returns the tag of a bid, which covers what was found and what changed since.
func bidTag(body openapi.Bid) (string, error) {
	if body.Stale != nil {
		return etag.Derived(onlyVersion, body)
	}
	for _, w := range body.Ways {
		if len(w.FoundSince) > 0 {
			return etag.Derived(onlyVersion, body)
		}
	}
	return etag.Version(onlyVersion), nil
}

// GetBidInputs sends the stored inputs, byte for byte.
func (h *handlers) GetBidInputs(
	ctx context.Context, r GetBidInputsRequestObject,
) (GetBidInputsResponseObject, error) {
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	b, err := reader.Bid(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	document, err := reader.Document(ctx, b.Inputs)
	return bidInputs(document), err
}

// bidInputs sends a document as it is stored; the generated answer would encode it again.
type bidInputs []byte

// RecomputeBid works out a bid again and compares it with the stored result.
func (h *handlers) RecomputeBid(
	ctx context.Context, r RecomputeBidRequestObject,
) (RecomputeBidResponseObject, error) {
	a := middleware.Actor(ctx)
	b, err := h.app.Read(ctx, a).Bid(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	now, err := h.app.RecomputeBid(ctx, a, r.ID)
	if err != nil {
		return nil, err
	}
	out := RecomputeBid200JSONResponse{
		Identical: now.Same, Engine: now.Engine, StoredEngine: b.Engine, Says: now.Says,
		StoredSHA256: hex.EncodeToString(now.Stored[:]),
	}
	if now.Now != (postgres.Hash{}) {
		out.ResultSHA256 = hex.EncodeToString(now.Now[:])
	}
	return out, nil
}

func placeOfBid(b postgres.BidHead) postgres.Place {
	return postgres.Place{CreatedAt: b.CreatedAt, ID: b.ID}
}

func renderBidHead(b postgres.BidHead) openapi.BidHead {
	return openapi.BidHead{
		ID: b.ID, Instrument: b.Instrument, Survey: b.Survey, Engine: b.Engine,
		State: openapi.BidState(b.State), CreatedAt: b.CreatedAt,
	}
}

// VisitGetBidInputsResponse sends the document as it is.
func (document bidInputs) VisitGetBidInputsResponse(w http.ResponseWriter) error {
	w.Header().Set("Content-Type", echo.MIMEApplicationJSON)
	w.Header().Set("ETag", etag.Version(onlyVersion))
	w.WriteHeader(http.StatusOK)
	_, err := w.Write(document)
	return err
}
