package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/shopspring/decimal"
)

// EditCatalogue makes a new revision by single edits.
func (h *handlers) EditCatalogue(ctx context.Context, r EditCatalogueRequestObject) (EditCatalogueResponseObject, error) {
	after, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	changes, err := readChanges(r.Body.Edits)
	if err != nil {
		return nil, err
	}
	made, err := h.app.EditCatalogue(ctx, actorOf(ctx), changes, r.Body.Note, int(after))
	if err != nil {
		return nil, err
	}
	return EditCatalogue200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: EditCatalogue200ResponseHeaders{ETag: versionTag(int64(made.Number), fullView)},
	}, nil
}

// readChanges decodes edits that the contract has found well formed; the use
// case checks what they say.
func readChanges(edits []openapi.CatalogueEdit) ([]catalogue.Change, error) {
	changes := make([]catalogue.Change, len(edits))
	var faults domain.Faults
	for i, e := range edits {
		dec := json.NewDecoder(bytes.NewReader(e))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&changes[i]); err != nil {
			faults.Add(fmt.Sprintf("#/edits/%d", i), "is no edit of a catalogue: %v", err)
		}
	}
	return changes, faults.Err()
}

// ListOffers shows what ships differently by now.
func (h *handlers) ListOffers(ctx context.Context, r ListOffersRequestObject) (ListOffersResponseObject, error) {
	rate, err := readRate(r.Params.Rate)
	if err != nil {
		return nil, err
	}
	o, err := h.app.Offers(ctx, actorOf(ctx), rate)
	if err != nil {
		return nil, err
	}
	body := openapi.OfferList{Revision: revisionNumber(o.Revision), Rate: o.Rate, Items: renderAll(o.Offers, renderOffer)}
	tag, err := digestTag(body)
	return ListOffers200JSONResponse{Body: body, Headers: ListOffers200ResponseHeaders{ETag: tag}}, err
}

// readRate reads a rate of exchange; nil where it was left out.
func readRate(text string) (*decimal.Decimal, error) {
	if text == "" {
		return nil, nil //nolint:nilnil // none was given
	}
	rate, err := decimal.NewFromString(text)
	if err != nil || !rate.IsPositive() {
		return nil, refuseField("#/query/rate", "must be a rate above 0")
	}
	return &rate, nil
}

// AnswerOffers takes rows as they ship now, or keeps the workshop's own.
func (h *handlers) AnswerOffers(ctx context.Context, r AnswerOffersRequestObject) (AnswerOffersResponseObject, error) {
	after, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	q := app.OfferAnswer{
		Decision: catalogue.Decision{All: r.Body.All, Take: renderAll(r.Body.Take, readRowKey), Keep: renderAll(r.Body.Keep, readRowKey)},
		Rate:     r.Body.Rate, Note: r.Body.Note,
	}
	if q.Rate != nil && !q.Rate.IsPositive() {
		return nil, refuseField("#/rate", "must be a rate above 0")
	}
	made, err := h.app.AnswerOffers(ctx, actorOf(ctx), q, int(after))
	if err != nil {
		return nil, err
	}
	return AnswerOffers200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: AnswerOffers200ResponseHeaders{ETag: versionTag(int64(made.Number), fullView)},
	}, nil
}

func readRowKey(k openapi.CatalogueRowKey) catalogue.RowKey {
	return catalogue.RowKey{Table: string(k.Table), Row: k.Row}
}

func renderOffer(o catalogue.Offer) openapi.Offer {
	return openapi.Offer{
		Table: openapi.OfferTable(o.Table), Row: o.Row, State: openapi.OfferState(o.State), Differs: o.Members,
		Then: renderRow(o.Then), Now: renderRow(o.Now), Own: renderRow(o.Own),
	}
}

// renderRow is a row alone; nothing where there is none.
func renderRow(r *catalogue.Row) openapi.ShownRow {
	if r == nil {
		return nil
	}
	return r.Text()
}
