package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListInstruments lists a page of instruments.
func (h *handlers) ListInstruments(ctx context.Context, r ListInstrumentsRequestObject) (ListInstrumentsResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	filter := filterOf(r.Params)
	list, err := h.app.Read(ctx, actorOf(ctx)).Instruments(ctx, filter, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, func(i app.Versioned[domain.Instrument]) postgres.Place {
		return postgres.Place{CreatedAt: i.CreatedAt, Key: postgres.InstrumentKey(filter.Sort, i.Value), ID: i.Value.ID}
	}, renderInstrument)
	return ListInstruments200JSONResponse{
		Body:    openapi.InstrumentPage{Items: out.Items, NextCursor: out.Next},
		Headers: ListInstruments200ResponseHeaders{Link: out.Link},
	}, nil
}

func filterOf(p openapi.ListInstrumentsParams) postgres.InstrumentFilter {
	return postgres.InstrumentFilter{
		Owner: domain.Ownership(p.Owner), Kind: catalogue.Kind(p.Kind), State: domain.State(p.State), Party: p.Party,
		Maker: p.Maker, Serial: p.Serial, Stock: p.StockNumber, Find: p.Find, Sort: postgres.InstrumentSort(p.Sort),
	}
}

// CreateInstrument enters an instrument.
func (h *handlers) CreateInstrument(ctx context.Context, r CreateInstrumentRequestObject) (CreateInstrumentResponseObject, error) {
	i, err := h.app.AddInstrument(ctx, actorOf(ctx), readInstrument(uuid.Nil, *r.Body))
	if err != nil {
		return nil, err
	}
	return CreateInstrument201JSONResponse{
		Body: renderInstrument(i),
		Headers: CreateInstrument201ResponseHeaders{
			ETag: versionTag(i.Version, fullView), Location: "/v1/instruments/" + i.Value.ID.String(),
		},
	}, nil
}

// GetInstrument shows one instrument.
func (h *handlers) GetInstrument(ctx context.Context, r GetInstrumentRequestObject) (GetInstrumentResponseObject, error) {
	i, err := h.app.Read(ctx, actorOf(ctx)).Instrument(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetInstrument200JSONResponse{
		Body: renderInstrument(i), Headers: GetInstrument200ResponseHeaders{ETag: versionTag(i.Version, fullView)},
	}, nil
}

// PutInstrument enters an instrument under the client's id or corrects one.
func (h *handlers) PutInstrument(ctx context.Context, r PutInstrumentRequestObject) (PutInstrumentResponseObject, error) {
	sent := readInstrument(r.ID, *r.Body)
	if r.Params.IfMatch == "" {
		return h.enterInstrument(ctx, sent)
	}
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	i, err := h.app.ChangeInstrument(ctx, actorOf(ctx), sent, version)
	return instrumentThere(i), err
}

func (h *handlers) enterInstrument(ctx context.Context, sent domain.Instrument) (PutInstrumentResponseObject, error) {
	a := actorOf(ctx)
	i, err := h.app.AddInstrument(ctx, a, sent)
	if err == nil {
		return PutInstrument201JSONResponse{
			Body: renderInstrument(i), Headers: PutInstrument201ResponseHeaders{ETag: versionTag(i.Version, fullView)},
		}, nil
	}
	i, err = orThere(err,
		func() (app.Versioned[domain.Instrument], error) { return h.app.Read(ctx, a).Instrument(ctx, sent.ID) },
		func(there domain.Instrument) bool {
			there.Measured, there.Scale = nil, nil // which came later, and are no part of what was sent
			return sameJSON(there, sent)
		})
	return instrumentThere(i), err
}

func instrumentThere(i app.Versioned[domain.Instrument]) PutInstrumentResponseObject {
	return PutInstrument200JSONResponse{
		Body: renderInstrument(i), Headers: PutInstrument200ResponseHeaders{ETag: versionTag(i.Version, fullView)},
	}
}

func readInstrument(id uuid.UUID, s openapi.InstrumentSettings) domain.Instrument {
	i := domain.Instrument{
		ID: id, Kind: catalogue.Kind(s.Kind), Maker: s.Maker, Model: s.Model, Serial: s.Serial, StockNumber: s.StockNumber,
		Year: s.Year, SizeMM: s.SizeMM, Notes: s.Notes, Covering: string(s.Covering), Finish: string(s.Finish),
		Colour: s.Colour, Decorated: s.Decorated, Action: string(s.Action), Owner: domain.Ownership(s.Owner),
		Party: s.Party,
	}
	if t := s.Stringing; t != nil {
		i.Stringing = &domain.Stringing{LastSingle: t.LastSingle, LastPair: t.LastPair, Covered: t.Covered}
	}
	return i
}

func renderInstrument(v app.Versioned[domain.Instrument]) openapi.Instrument {
	i := v.Value
	out := openapi.Instrument{
		ID: i.ID, Kind: openapi.Kind(i.Kind), Maker: i.Maker, Model: i.Model, Serial: i.Serial, StockNumber: i.StockNumber,
		Year: i.Year, SizeMM: i.SizeMM, Notes: i.Notes, Covering: openapi.Covering(i.Covering), Finish: openapi.Finish(i.Finish),
		Colour: i.Colour, Decorated: i.Decorated, Action: openapi.ActionType(i.Action), Owner: openapi.Ownership(i.Owner),
		Party: i.Party, State: openapi.State(i.State), Version: v.Version, CreatedAt: v.CreatedAt,
	}
	if s := i.Stringing; s != nil {
		out.Stringing = &openapi.Stringing{LastSingle: s.LastSingle, LastPair: s.LastPair, Covered: s.Covered}
	}
	return out
}
