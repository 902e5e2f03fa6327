package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/openapi"
)

// ListPeople lists the crew.
func (h *handlers) ListPeople(ctx context.Context, _ ListPeopleRequestObject) (ListPeopleResponseObject, error) {
	people, err := h.app.Read(ctx, actorOf(ctx)).People(ctx)
	if err != nil {
		return nil, err
	}
	return ListPeople200JSONResponse{Items: renderAll(people, renderPerson)}, nil
}

// GetPerson shows one member of the crew.
func (h *handlers) GetPerson(ctx context.Context, r GetPersonRequestObject) (GetPersonResponseObject, error) {
	p, err := h.app.Read(ctx, actorOf(ctx)).Person(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetPerson200JSONResponse{Body: renderPerson(p), Headers: GetPerson200ResponseHeaders{ETag: versionTag(p.Version, fullView)}}, nil
}

// PutPerson adds a member of the crew or changes one.
func (h *handlers) PutPerson(ctx context.Context, r PutPersonRequestObject) (PutPersonResponseObject, error) {
	sent := domain.Person{ID: r.ID, Name: r.Body.Name, Skills: r.Body.Skills, ProductiveShare: r.Body.ProductiveShare}
	if r.Params.IfMatch == "" {
		return h.addPerson(ctx, sent)
	}
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	p, err := h.app.ChangePerson(ctx, actorOf(ctx), sent, version)
	return personThere(p), err
}

func (h *handlers) addPerson(ctx context.Context, sent domain.Person) (PutPersonResponseObject, error) {
	a := actorOf(ctx)
	p, err := h.app.AddPerson(ctx, a, sent)
	if err == nil {
		return PutPerson201JSONResponse{
			Body: renderPerson(p), Headers: PutPerson201ResponseHeaders{ETag: versionTag(p.Version, fullView)},
		}, nil
	}
	p, err = orThere(err,
		func() (app.Versioned[domain.Person], error) { return h.app.Read(ctx, a).Person(ctx, sent.ID) },
		func(there domain.Person) bool { return sameJSON(there, sent) })
	return personThere(p), err
}

func personThere(p app.Versioned[domain.Person]) PutPersonResponseObject {
	return PutPerson200JSONResponse{
		Body: renderPerson(p), Headers: PutPerson200ResponseHeaders{ETag: versionTag(p.Version, fullView)},
	}
}

func renderPerson(p app.Versioned[domain.Person]) openapi.Person {
	return openapi.Person{
		ID: p.Value.ID, Name: p.Value.Name, Skills: p.Value.Skills, ProductiveShare: p.Value.ProductiveShare,
		Version: p.Version, CreatedAt: p.CreatedAt,
	}
}
