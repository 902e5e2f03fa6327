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

// ListParties lists a page of clients, sellers and other firms, by name.
func (h *handlers) ListParties(
	ctx context.Context, r ListPartiesRequestObject,
) (ListPartiesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Parties(ctx, r.Params.Name, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfParty)
	return ListParties200JSONResponse{
		Body:    openapi.PartyPage{Items: convert.All(rows, renderParty), NextCursor: next.Cursor},
		Headers: ListParties200ResponseHeaders{Link: next.Link},
	}, nil
}

// GetParty shows one party.
func (h *handlers) GetParty(
	ctx context.Context, r GetPartyRequestObject,
) (GetPartyResponseObject, error) {
	p, err := h.app.Read(ctx, middleware.Actor(ctx)).Party(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetParty200JSONResponse{
		Body: renderParty(p), Headers: GetParty200ResponseHeaders{ETag: etag.Version(p.Version)},
	}, nil
}

// PutParty records a party or changes one.
func (h *handlers) PutParty(
	ctx context.Context, r PutPartyRequestObject,
) (PutPartyResponseObject, error) {
	sent := domain.Party{
		ID: r.ID, Name: r.Body.Name, Email: r.Body.Email, Phone: r.Body.Phone, Address: r.Body.Address,
		Note: r.Body.Note,
	}
	if r.Params.IfMatch == "" {
		return h.addParty(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	p, err := h.app.ChangeParty(ctx, middleware.Actor(ctx), sent, version)
	return partyOK(p), err
}

func (h *handlers) addParty(
	ctx context.Context, sent domain.Party,
) (PutPartyResponseObject, error) {
	a := middleware.Actor(ctx)
	p, err := h.app.AddParty(ctx, a, sent)
	if err == nil {
		return PutParty201JSONResponse{
			Body: renderParty(p), Headers: PutParty201ResponseHeaders{
				ETag: etag.Version(p.Version),
			},
		}, nil
	}
	p, err = etag.ExistingIfSame(err,
		func() (app.Versioned[domain.Party], error) {
			return h.app.Read(ctx, a).Party(ctx, sent.ID)
		},
		func(there domain.Party) bool { return there == sent })
	return partyOK(p), err
}

func partyOK(p app.Versioned[domain.Party]) PutPartyResponseObject {
	return PutParty200JSONResponse{
		Body: renderParty(p), Headers: PutParty200ResponseHeaders{ETag: etag.Version(p.Version)},
	}
}

func placeOfParty(p app.Versioned[domain.Party]) postgres.Place {
	return postgres.Place{Key: p.Value.Name, ID: p.Value.ID}
}

func renderParty(p app.Versioned[domain.Party]) openapi.Party {
	v := p.Value
	return openapi.Party{
		ID: v.ID, Name: v.Name, Email: v.Email, Phone: v.Phone, Address: v.Address, Note: v.Note,
		Version: p.Version, CreatedAt: p.CreatedAt,
	}
}
