package api

import (
	"bytes"
	"context"
	"encoding/json"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// GetCatalogue shows the newest revision.
func (h *handlers) GetCatalogue(ctx context.Context, _ GetCatalogueRequestObject) (GetCatalogueResponseObject, error) {
	a := actorOf(ctx)
	c, err := h.app.Catalogue(ctx, a)
	if err != nil {
		return nil, err
	}
	body, tag, err := showRevision(c, viewOf(a))
	return GetCatalogue200JSONResponse{Body: body, Headers: GetCatalogue200ResponseHeaders{ETag: tag}}, err
}

// GetRevision shows one revision.
func (h *handlers) GetRevision(ctx context.Context, r GetRevisionRequestObject) (GetRevisionResponseObject, error) {
	a := actorOf(ctx)
	c, err := h.app.CatalogueAt(ctx, a, int(r.Number))
	if err != nil {
		return nil, err
	}
	body, tag, err := showRevision(c, viewOf(a))
	return GetRevision200JSONResponse{Body: body, Headers: GetRevision200ResponseHeaders{ETag: tag}}, err
}

// PutCatalogue makes a new revision after the one that If-Match names.
func (h *handlers) PutCatalogue(ctx context.Context, r PutCatalogueRequestObject) (PutCatalogueResponseObject, error) {
	after, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	c, err := readCatalogue(r.Body.Document)
	if err != nil {
		return nil, err
	}
	made, err := h.app.ReviseCatalogue(ctx, actorOf(ctx), c, r.Body.Note, int(after))
	if err != nil {
		return nil, err
	}
	return PutCatalogue200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: PutCatalogue200ResponseHeaders{ETag: versionTag(int64(made.Number), fullView)},
	}, nil
}

// ListRevisions lists the revisions without their documents.
func (h *handlers) ListRevisions(ctx context.Context, _ ListRevisionsRequestObject) (ListRevisionsResponseObject, error) {
	revisions, err := h.app.Read(ctx, actorOf(ctx)).Revisions(ctx)
	if err != nil {
		return nil, err
	}
	return ListRevisions200JSONResponse{Items: renderAll(revisions, renderRevisionHead)}, nil
}

// readCatalogue decodes a document that the contract has found well formed; the
// use case checks what it says.
func readCatalogue(document openapi.Catalogue) (*catalogue.Catalogue, error) {
	c := &catalogue.Catalogue{}
	dec := json.NewDecoder(bytes.NewReader(document))
	dec.DisallowUnknownFields()
	if err := dec.Decode(c); err != nil {
		return nil, domain.Faults{{Pointer: "#/document", Detail: "is no catalogue: " + err.Error()}}.Err()
	}
	return c, nil
}

func showRevision(c app.CatalogueRevision, v view) (openapi.CatalogueRevision, string, error) {
	document, err := showCatalogue(c.Catalogue, v)
	return openapi.CatalogueRevision{
		Number: int32(c.Number), //nolint:gosec // the column is an integer
		Note:   c.Note, CreatedAt: c.CreatedAt, Document: document,
	}, versionTag(int64(c.Number), v), err
}

func renderRevisionHead(r postgres.Revision) openapi.RevisionHead {
	return openapi.RevisionHead{
		Number: int32(r.Number), //nolint:gosec // the column is an integer
		Note:   r.Note, CreatedAt: r.CreatedAt,
	}
}
