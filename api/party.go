package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListParties lists a page of clients, sellers and other firms, by name.
func (h *handlers) ListParties(ctx context.Context, r ListPartiesRequestObject) (ListPartiesResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, actorOf(ctx)).Parties(ctx, r.Params.Name, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, placeOfParty, renderParty)
	return ListParties200JSONResponse{
		Body:    openapi.PartyPage{Items: out.Items, NextCursor: out.Next},
		Headers: ListParties200ResponseHeaders{Link: out.Link},
	}, nil
}

// GetParty shows one party.
func (h *handlers) GetParty(ctx context.Context, r GetPartyRequestObject) (GetPartyResponseObject, error) {
	p, err := h.app.Read(ctx, actorOf(ctx)).Party(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetParty200JSONResponse{Body: renderParty(p), Headers: GetParty200ResponseHeaders{ETag: versionTag(p.Version, fullView)}}, nil
}

// PutParty records a party or changes one.
func (h *handlers) PutParty(ctx context.Context, r PutPartyRequestObject) (PutPartyResponseObject, error) {
	sent := domain.Party{
		ID: r.ID, Name: r.Body.Name, Email: r.Body.Email, Phone: r.Body.Phone, Address: r.Body.Address, Note: r.Body.Note,
	}
	if r.Params.IfMatch == "" {
		return h.addParty(ctx, sent)
	}
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	p, err := h.app.ChangeParty(ctx, actorOf(ctx), sent, version)
	return partyThere(p), err
}

func (h *handlers) addParty(ctx context.Context, sent domain.Party) (PutPartyResponseObject, error) {
	a := actorOf(ctx)
	p, err := h.app.AddParty(ctx, a, sent)
	if err == nil {
		return PutParty201JSONResponse{
			Body: renderParty(p), Headers: PutParty201ResponseHeaders{ETag: versionTag(p.Version, fullView)},
		}, nil
	}
	p, err = orThere(err,
		func() (app.Versioned[domain.Party], error) { return h.app.Read(ctx, a).Party(ctx, sent.ID) },
		func(there domain.Party) bool { return there == sent })
	return partyThere(p), err
}

func partyThere(p app.Versioned[domain.Party]) PutPartyResponseObject {
	return PutParty200JSONResponse{Body: renderParty(p), Headers: PutParty200ResponseHeaders{ETag: versionTag(p.Version, fullView)}}
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
