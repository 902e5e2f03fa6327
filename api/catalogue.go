package api

import (
	"bytes"
	"context"
	"encoding/json"
	"strconv"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// GetCatalogue shows the newest revision of the catalogue.
func (h *handlers) GetCatalogue(
	ctx context.Context, _ GetCatalogueRequestObject,
) (GetCatalogueResponseObject, error) {
	a := middleware.Actor(ctx)
	c, err := h.app.Catalogue(ctx, a)
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(a).revision(c)
	return GetCatalogue200JSONResponse{
		Body: body, Headers: GetCatalogue200ResponseHeaders{ETag: tag},
	}, err
}

// GetCatalogueRevision shows one revision of the catalogue.
func (h *handlers) GetCatalogueRevision(
	ctx context.Context, r GetCatalogueRevisionRequestObject,
) (GetCatalogueRevisionResponseObject, error) {
	a := middleware.Actor(ctx)
	c, err := h.app.CatalogueAt(ctx, a, int(r.Number))
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(a).revision(c)
	return GetCatalogueRevision200JSONResponse{
		Body: body, Headers: GetCatalogueRevision200ResponseHeaders{ETag: tag},
	}, err
}

// PutCatalogue makes a new revision after the one that If-Match names.
func (h *handlers) PutCatalogue(
	ctx context.Context, r PutCatalogueRequestObject,
) (PutCatalogueResponseObject, error) {
	after, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	c, err := readCatalogue(r.Body.Document)
	if err != nil {
		return nil, err
	}
	made, err := h.app.ReviseCatalogue(ctx, middleware.Actor(ctx), c, r.Body.Note, int(after))
	if err != nil {
		return nil, err
	}
	return PutCatalogue200JSONResponse{
		Body:    renderRevisionHead(made.Revision),
		Headers: PutCatalogue200ResponseHeaders{ETag: etag.Version(int64(made.Number))},
	}, nil
}

// ListCatalogueRevisions lists a page of the revisions without their documents, the newest first.
func (h *handlers) ListCatalogueRevisions(
	ctx context.Context, r ListCatalogueRevisionsRequestObject,
) (ListCatalogueRevisionsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Revisions(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfRevision)
	return ListCatalogueRevisions200JSONResponse{
		Body: openapi.RevisionPage{
			Items: convert.All(rows, renderRevisionHead), NextCursor: next.Cursor,
		},
		Headers: ListCatalogueRevisions200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfRevision(r postgres.Revision) postgres.Place {
	return postgres.Place{Key: strconv.Itoa(r.Number)}
}

// readCatalogue decodes a document whose form the contract has checked; the use case checks what it
// says.
func readCatalogue(document openapi.Catalogue) (*catalogue.Catalogue, error) {
	c := &catalogue.Catalogue{}
	dec := json.NewDecoder(bytes.NewReader(document))
	dec.DisallowUnknownFields()
	if err := dec.Decode(c); err != nil {
		return nil, domain.Faults{
			{Pointer: "#/document", Detail: "must be a catalogue: " + err.Error()},
		}.Err()
	}
	return c, nil
}

func (v view) revision(c app.CatalogueRevision) (openapi.CatalogueRevision, string, error) {
	document, err := v.catalogue(c.Catalogue)
	if err != nil {
		return openapi.CatalogueRevision{}, "", err
	}
	sources, err := catalogue.Sources()
	return openapi.CatalogueRevision{
		Number: int32(c.Number), //nolint:gosec // the column is an integer
		Note:   c.Note, CreatedAt: c.CreatedAt, Document: document,
		Sources: convert.All(sources, renderSource),
	}, v.tag(int64(c.Number)), err
}

func renderSource(s catalogue.Source) openapi.Source {
	return openapi.Source{
		Number: s.Number, Title: s.Title, Kind: openapi.SourceKind(s.Kind), Where: s.Where,
	}
}

func renderRevisionHead(r postgres.Revision) openapi.RevisionHead {
	return openapi.RevisionHead{
		Number: int32(r.Number), //nolint:gosec // the column is an integer
		Note:   r.Note, CreatedAt: r.CreatedAt,
	}
}
