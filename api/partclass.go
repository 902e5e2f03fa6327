package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/stock"
	"bentside/openapi"
	"bentside/pricing/valuation"
)

// ListPartClasses lists a page of the classes of parts, by name.
func (h *handlers) ListPartClasses(
	ctx context.Context, r ListPartClassesRequestObject,
) (ListPartClassesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).PartClasses(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfPartClass)
	return ListPartClasses200JSONResponse{
		Body: openapi.PartClassPage{
			Items: convert.All(rows, renderPartClass), NextCursor: next.Cursor,
		},
		Headers: ListPartClasses200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfPartClass(c app.Versioned[stock.Class]) postgres.Place {
	return postgres.Place{Key: c.Value.Name, ID: c.Value.ID}
}

// GetPartClass shows one class of parts.
func (h *handlers) GetPartClass(
	ctx context.Context, r GetPartClassRequestObject,
) (GetPartClassResponseObject, error) {
	c, err := h.app.Read(ctx, middleware.Actor(ctx)).PartClass(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetPartClass200JSONResponse{
		Body:    renderPartClass(c),
		Headers: GetPartClass200ResponseHeaders{ETag: etag.Version(c.Version)},
	}, nil
}

// PutPartClass adds a class of parts or changes one.
func (h *handlers) PutPartClass(
	ctx context.Context, r PutPartClassRequestObject,
) (PutPartClassResponseObject, error) {
	sent := stock.Class{
		ID: r.ID, Name: r.Body.Name, Method: valuation.Method(r.Body.Method),
	}
	if r.Params.IfMatch == "" {
		return h.addPartClass(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	c, err := h.app.ChangePartClass(ctx, middleware.Actor(ctx), sent, version)
	return partClassOK(c), err
}

func (h *handlers) addPartClass(
	ctx context.Context, sent stock.Class,
) (PutPartClassResponseObject, error) {
	a := middleware.Actor(ctx)
	c, err := h.app.AddPartClass(ctx, a, sent)
	if err == nil {
		return PutPartClass201JSONResponse{
			Body:    renderPartClass(c),
			Headers: PutPartClass201ResponseHeaders{ETag: etag.Version(c.Version)},
		}, nil
	}
	c, err = etag.ExistingIfSame(err,
		func() (app.Versioned[stock.Class], error) {
			return h.app.Read(ctx, a).PartClass(ctx, sent.ID)
		},
		func(there stock.Class) bool { return there == sent })
	return partClassOK(c), err
}

func partClassOK(c app.Versioned[stock.Class]) PutPartClassResponseObject {
	return PutPartClass200JSONResponse{
		Body: renderPartClass(c), Headers: PutPartClass200ResponseHeaders{ETag: etag.Version(c.Version)},
	}
}

func renderPartClass(c app.Versioned[stock.Class]) openapi.PartClass {
	return openapi.PartClass{
		ID: c.Value.ID, Name: c.Value.Name, Method: openapi.ValuationMethod(c.Value.Method),
		Version: c.Version, CreatedAt: c.CreatedAt,
	}
}
