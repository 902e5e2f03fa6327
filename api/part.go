package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/stock"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListParts lists a page of the parts, by code.
func (h *handlers) ListParts(
	ctx context.Context, r ListPartsRequestObject,
) (ListPartsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Parts(ctx, r.Params.Code, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfPart)
	return ListParts200JSONResponse{
		Body:    openapi.PartPage{Items: convert.All(rows, renderPart), NextCursor: next.Cursor},
		Headers: ListParts200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfPart(p app.Versioned[stock.Part]) postgres.Place {
	return postgres.Place{Key: p.Value.Code, ID: p.Value.ID}
}

// GetPart shows one part.
func (h *handlers) GetPart(
	ctx context.Context, r GetPartRequestObject,
) (GetPartResponseObject, error) {
	p, err := h.app.Read(ctx, middleware.Actor(ctx)).Part(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetPart200JSONResponse{
		Body: renderPart(p), Headers: GetPart200ResponseHeaders{ETag: etag.Version(p.Version)},
	}, nil
}

// PutPart adds a part or changes one.
func (h *handlers) PutPart(
	ctx context.Context, r PutPartRequestObject,
) (PutPartResponseObject, error) {
	sent := readPart(r.ID, *r.Body)
	if r.Params.IfMatch == "" {
		return h.addPart(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	p, err := h.app.ChangePart(ctx, middleware.Actor(ctx), sent, version)
	return partOK(p), err
}

func (h *handlers) addPart(ctx context.Context, sent stock.Part) (PutPartResponseObject, error) {
	a := middleware.Actor(ctx)
	p, err := h.app.AddPart(ctx, a, sent)
	if err == nil {
		return PutPart201JSONResponse{
			Body: renderPart(p), Headers: PutPart201ResponseHeaders{ETag: etag.Version(p.Version)},
		}, nil
	}
	p, err = etag.ExistingIfSame(err,
		func() (app.Versioned[stock.Part], error) { return h.app.Read(ctx, a).Part(ctx, sent.ID) },
		func(there stock.Part) bool { return etag.SameJSON(there, sent) })
	return partOK(p), err
}

func partOK(p app.Versioned[stock.Part]) PutPartResponseObject {
	return PutPart200JSONResponse{
		Body: renderPart(p), Headers: PutPart200ResponseHeaders{ETag: etag.Version(p.Version)},
	}
}

func readPart(id uuid.UUID, s openapi.PartSettings) stock.Part {
	return stock.Part{
		ID: id, Code: s.Code, Name: s.Name, Class: s.Class, Unit: s.Unit, PurchaseUnit: s.PurchaseUnit,
		Content: convert.DecimalOrZero(s.Content), Minimum: convert.DecimalOrZero(s.Minimum),
		Supplier: s.Supplier,
		Note:     s.Note, Serves: readServes(s.Serves),
	}
}

func readServes(list []openapi.ServedMaterial) []stock.Served {
	var serves []stock.Served
	for _, s := range list {
		x := stock.Served{
			Operation: catalogue.Code(s.Operation), Material: s.Material, Units: domain.One,
		}
		if s.Units != nil {
			x.Units = *s.Units
		}
		serves = append(serves, x)
	}
	return serves
}

func renderPart(p app.Versioned[stock.Part]) openapi.Part {
	v := p.Value
	out := openapi.Part{
		ID: v.ID, Code: v.Code, Name: v.Name, Class: v.Class, Unit: v.Unit,
		PurchaseUnit: v.PurchaseUnit, Minimum: v.Minimum, Supplier: v.Supplier, Note: v.Note,
		Version: p.Version, CreatedAt: p.CreatedAt,
	}
	if v.PurchaseUnit != "" {
		out.Content = &v.Content
	}
	for _, s := range v.Serves {
		out.Serves = append(out.Serves, openapi.ServedMaterial{
			Operation: openapi.OperationCode(s.Operation), Material: s.Material, Units: &s.Units,
		})
	}
	return out
}
