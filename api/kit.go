package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain/catalogue"
	"bentside/domain/stock"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListKits lists a page of the kits, by name.
func (h *handlers) ListKits(
	ctx context.Context, r ListKitsRequestObject,
) (ListKitsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Kits(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfKit)
	return ListKits200JSONResponse{
		Body:    openapi.KitPage{Items: convert.All(rows, renderKit), NextCursor: next.Cursor},
		Headers: ListKits200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfKit(k app.Versioned[stock.Kit]) postgres.Place {
	return postgres.Place{Key: k.Value.Name, ID: k.Value.ID}
}

// GetKit shows one kit.
func (h *handlers) GetKit(
	ctx context.Context, r GetKitRequestObject,
) (GetKitResponseObject, error) {
	k, err := h.app.Read(ctx, middleware.Actor(ctx)).Kit(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetKit200JSONResponse{
		Body: renderKit(k), Headers: GetKit200ResponseHeaders{ETag: etag.Version(k.Version)},
	}, nil
}

// PutKit adds a kit or changes one.
func (h *handlers) PutKit(
	ctx context.Context, r PutKitRequestObject,
) (PutKitResponseObject, error) {
	sent := readKit(r.ID, *r.Body)
	if r.Params.IfMatch == "" {
		return h.addKit(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	k, err := h.app.ChangeKit(ctx, middleware.Actor(ctx), sent, version)
	return kitOK(k), err
}

func (h *handlers) addKit(ctx context.Context, sent stock.Kit) (PutKitResponseObject, error) {
	a := middleware.Actor(ctx)
	k, err := h.app.AddKit(ctx, a, sent)
	if err == nil {
		return PutKit201JSONResponse{
			Body: renderKit(k), Headers: PutKit201ResponseHeaders{ETag: etag.Version(k.Version)},
		}, nil
	}
	k, err = etag.ExistingIfSame(err,
		func() (app.Versioned[stock.Kit], error) { return h.app.Read(ctx, a).Kit(ctx, sent.ID) },
		func(there stock.Kit) bool { return etag.SameJSON(there, sent) })
	return kitOK(k), err
}

func kitOK(k app.Versioned[stock.Kit]) PutKitResponseObject {
	return PutKit200JSONResponse{
		Body: renderKit(k), Headers: PutKit200ResponseHeaders{ETag: etag.Version(k.Version)},
	}
}

// IssueKit issues a kit to a job.
func (h *handlers) IssueKit(
	ctx context.Context, r IssueKitRequestObject,
) (IssueKitResponseObject, error) {
	b := *r.Body
	on, err := convert.ParseOptionalDay(b.On)
	if err != nil {
		return nil, err
	}
	times := 1
	if b.Times != nil {
		times = *b.Times
	}
	a := middleware.Actor(ctx)
	x, err := h.app.IssueKit(ctx, a, stock.KitIssue{
		Kit: r.ID, Times: times, On: on, Job: b.Job, Operation: catalogue.Code(b.Operation),
		Note: b.Note,
	})
	if err != nil {
		return nil, err
	}
	return IssueKit201JSONResponse{
		Kit: x.Kit, Version: x.Version, Name: x.Name, Times: x.Times, Job: x.Job,
		Operation: openapi.OperationCode(x.Operation), Moves: convert.All(x.Moves, viewOf(a).stockMove),
	}, nil
}

func readKit(id uuid.UUID, s openapi.KitSettings) stock.Kit {
	k := stock.Kit{ID: id, Name: s.Name, Note: s.Note}
	for _, l := range s.Lines {
		k.Lines = append(k.Lines, stock.KitLine{Part: l.Part, Quantity: l.Quantity, Unit: l.Unit})
	}
	return k
}

func renderKit(k app.Versioned[stock.Kit]) openapi.Kit {
	return openapi.Kit{
		ID: k.Value.ID, Name: k.Value.Name, Note: k.Value.Note, Version: k.Version,
		CreatedAt: k.CreatedAt,
		Lines: convert.All(k.Value.Lines, func(l stock.KitLine) openapi.KitLine {
			return openapi.KitLine{Part: l.Part, Quantity: l.Quantity, Unit: l.Unit}
		}),
	}
}
