package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/problem"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// EditCatalogue makes a new revision of the catalogue from single edits.
func (h *handlers) EditCatalogue(
	ctx context.Context, r EditCatalogueRequestObject,
) (EditCatalogueResponseObject, error) {
	after, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	changes, err := readChanges(r.Body.Edits)
	if err != nil {
		return nil, err
	}
	made, err := h.app.EditCatalogue(ctx, middleware.Actor(ctx), changes, r.Body.Note, int(after))
	if err != nil {
		return nil, err
	}
	return EditCatalogue200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: EditCatalogue200ResponseHeaders{ETag: etag.Version(int64(made.Number))},
	}, nil
}

// readChanges decodes edits whose form the contract has checked; the use case checks what they say.
func readChanges(edits []openapi.CatalogueEdit) ([]catalogue.Change, error) {
	changes := make([]catalogue.Change, len(edits))
	var faults domain.Faults
	for i, e := range edits {
		dec := json.NewDecoder(bytes.NewReader(e))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&changes[i]); err != nil {
			faults.Add(fmt.Sprintf("#/edits/%d", i), "must be an edit of a catalogue: %v", err)
		}
	}
	return changes, faults.Err()
}

// ListCatalogueOffers lists the rows of the shipped catalogue that differ from the workshop's.
func (h *handlers) ListCatalogueOffers(
	ctx context.Context, r ListCatalogueOffersRequestObject,
) (ListCatalogueOffersResponseObject, error) {
	rate, err := readRate(r.Params.Rate)
	if err != nil {
		return nil, err
	}
	o, err := h.app.CatalogueUpdate(ctx, middleware.Actor(ctx), rate)
	if err != nil {
		return nil, err
	}
	body := openapi.OfferList{
		Revision: convert.RevisionNumber(o.Revision), Rate: o.Rate,
		Items: convert.All(o.Offers, renderOffer),
	}
	tag, err := etag.Digest(body)
	return ListCatalogueOffers200JSONResponse{
		Body: body, Headers: ListCatalogueOffers200ResponseHeaders{ETag: tag},
	}, err
}

// readRate parses an exchange rate; nil where it was left out.
func readRate(text string) (*decimal.Decimal, error) {
	if text == "" {
		return nil, nil //nolint:nilnil // no rate was given
	}
	rate, err := decimal.NewFromString(text)
	if err != nil || !rate.IsPositive() {
		return nil, problem.RefuseField("#/query/rate", "must be an exchange rate above 0")
	}
	return &rate, nil
}

// AnswerCatalogueOffers takes shipped rows into the catalogue, or keeps the workshop's own.
func (h *handlers) AnswerCatalogueOffers(
	ctx context.Context, r AnswerCatalogueOffersRequestObject,
) (AnswerCatalogueOffersResponseObject, error) {
	after, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	q := app.CatalogueUpdateAnswer{
		Answers: catalogue.Answers{
			All: r.Body.All, Take: convert.All(r.Body.Take, readRowKey),
			Keep: convert.All(r.Body.Keep, readRowKey),
		},
		Rate: r.Body.Rate, Note: r.Body.Note,
	}
	if q.Rate != nil && !q.Rate.IsPositive() {
		return nil, problem.RefuseField("#/rate", "must be an exchange rate above 0")
	}
	made, err := h.app.AnswerCatalogueUpdate(ctx, middleware.Actor(ctx), q, int(after))
	if err != nil {
		return nil, err
	}
	return AnswerCatalogueOffers200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: AnswerCatalogueOffers200ResponseHeaders{ETag: etag.Version(int64(made.Number))},
	}, nil
}

func readRowKey(k openapi.CatalogueRowKey) catalogue.RowKey {
	return catalogue.RowKey{Table: string(k.Table), Row: k.Row}
}

func renderOffer(o catalogue.ShippedChange) openapi.Offer {
	return openapi.Offer{
		Table: openapi.OfferTable(o.Table), Row: o.Row, State: openapi.OfferState(o.State),
		Differs: o.Members, Then: renderRow(o.Then), Now: renderRow(o.Now), Own: renderRow(o.Own),
	}
}

// renderRow renders one row; nil for none.
func renderRow(r *catalogue.Row) openapi.ShownRow {
	if r == nil {
		return nil
	}
	return r.Text()
}
