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
	"bentside/openapi"
)

// ListPeople lists a page of the crew.
func (h *handlers) ListPeople(
	ctx context.Context, r ListPeopleRequestObject,
) (ListPeopleResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).People(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfPerson)
	return ListPeople200JSONResponse{
		Body:    openapi.PersonPage{Items: convert.All(rows, renderPerson), NextCursor: next.Cursor},
		Headers: ListPeople200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfPerson(p app.Versioned[domain.Person]) postgres.Place {
	return page.PlaceOf(p, p.Value.ID)
}

// GetPerson shows one member of the crew.
func (h *handlers) GetPerson(
	ctx context.Context, r GetPersonRequestObject,
) (GetPersonResponseObject, error) {
	p, err := h.app.Read(ctx, middleware.Actor(ctx)).Person(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetPerson200JSONResponse{
		Body: renderPerson(p), Headers: GetPerson200ResponseHeaders{ETag: etag.Version(p.Version)},
	}, nil
}

// PutPerson adds a member of the crew or changes one.
func (h *handlers) PutPerson(
	ctx context.Context, r PutPersonRequestObject,
) (PutPersonResponseObject, error) {
	sent := domain.Person{
		ID: r.ID, Name: r.Body.Name, Skills: r.Body.Skills, ProductiveShare: r.Body.ProductiveShare,
		OffPayroll: r.Body.OnPayroll != nil && !*r.Body.OnPayroll, User: r.Body.User,
	}
	if r.Params.IfMatch == "" {
		return h.addPerson(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	p, err := h.app.ChangePerson(ctx, middleware.Actor(ctx), sent, version)
	return personOK(p), err
}

func (h *handlers) addPerson(
	ctx context.Context, sent domain.Person,
) (PutPersonResponseObject, error) {
	a := middleware.Actor(ctx)
	p, err := h.app.AddPerson(ctx, a, sent)
	if err == nil {
		return PutPerson201JSONResponse{
			Body: renderPerson(p), Headers: PutPerson201ResponseHeaders{
				ETag: etag.Version(p.Version),
			},
		}, nil
	}
	p, err = etag.ExistingIfSame(err,
		func() (app.Versioned[domain.Person], error) {
			return h.app.Read(ctx, a).Person(ctx, sent.ID)
		},
		sent.Same)
	return personOK(p), err
}

func personOK(p app.Versioned[domain.Person]) PutPersonResponseObject {
	return PutPerson200JSONResponse{
		Body: renderPerson(p), Headers: PutPerson200ResponseHeaders{ETag: etag.Version(p.Version)},
	}
}

func renderPerson(p app.Versioned[domain.Person]) openapi.Person {
	return openapi.Person{
		ID: p.Value.ID, Name: p.Value.Name, Skills: p.Value.Skills,
		ProductiveShare: p.Value.ProductiveShare, OnPayroll: !p.Value.OffPayroll, User: p.Value.User,
		Version: p.Version, CreatedAt: p.CreatedAt,
	}
}
