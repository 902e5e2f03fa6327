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
	"bentside/domain/instrument"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListInstruments lists a page of instruments.
func (h *handlers) ListInstruments(
	ctx context.Context, r ListInstrumentsRequestObject,
) (ListInstrumentsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	filter := filterOf(r.Params)
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Instruments(ctx, filter, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors,
		asked, list, func(i app.Versioned[instrument.Instrument]) postgres.Place {
			return postgres.Place{
				CreatedAt: i.CreatedAt, Key: postgres.InstrumentKey(filter.Sort, i.Value), ID: i.Value.ID,
			}
		})
	return ListInstruments200JSONResponse{
		Body: openapi.InstrumentPage{
			Items: convert.All(rows, renderInstrument), NextCursor: next.Cursor,
		},
		Headers: ListInstruments200ResponseHeaders{Link: next.Link},
	}, nil
}

func filterOf(p openapi.ListInstrumentsParams) postgres.InstrumentFilter {
	return postgres.InstrumentFilter{
		Owner: instrument.Ownership(p.Owner), Kind: catalogue.Kind(p.Kind),
		State: instrument.State(p.State), Party: p.Party, Maker: p.Maker, Serial: p.Serial,
		Stock: p.StockNumber, Find: p.Find, Sort: postgres.InstrumentSort(p.Sort),
	}
}

// CreateInstrument records an instrument.
func (h *handlers) CreateInstrument(
	ctx context.Context, r CreateInstrumentRequestObject,
) (CreateInstrumentResponseObject, error) {
	i, err := h.app.AddInstrument(ctx, middleware.Actor(ctx), readInstrument(uuid.Nil, *r.Body))
	if err != nil {
		return nil, err
	}
	return CreateInstrument201JSONResponse{
		Body: renderInstrument(i),
		Headers: CreateInstrument201ResponseHeaders{
			ETag: etag.Version(i.Version), Location: "/v1/instruments/" + i.Value.ID.String(),
		},
	}, nil
}

// GetInstrument shows one instrument.
func (h *handlers) GetInstrument(
	ctx context.Context, r GetInstrumentRequestObject,
) (GetInstrumentResponseObject, error) {
	i, err := h.app.Read(ctx, middleware.Actor(ctx)).Instrument(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetInstrument200JSONResponse{
		Body:    renderInstrument(i),
		Headers: GetInstrument200ResponseHeaders{ETag: etag.Version(i.Version)},
	}, nil
}

// PutInstrument records an instrument under the client's id, or corrects one.
func (h *handlers) PutInstrument(
	ctx context.Context, r PutInstrumentRequestObject,
) (PutInstrumentResponseObject, error) {
	sent := readInstrument(r.ID, *r.Body)
	if r.Params.IfMatch == "" {
		return h.enterInstrument(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	i, err := h.app.ChangeInstrument(ctx, middleware.Actor(ctx), sent, version)
	return instrumentOK(i), err
}

func (h *handlers) enterInstrument(
	ctx context.Context, sent instrument.Instrument,
) (PutInstrumentResponseObject, error) {
	a := middleware.Actor(ctx)
	i, err := h.app.AddInstrument(ctx, a, sent)
	if err == nil {
		return PutInstrument201JSONResponse{
			Body:    renderInstrument(i),
			Headers: PutInstrument201ResponseHeaders{ETag: etag.Version(i.Version)},
		}, nil
	}
	i, err = etag.ExistingIfSame(err,
		func() (app.Versioned[instrument.Instrument], error) {
			return h.app.Read(ctx, a).Instrument(ctx, sent.ID)
		},
		func(there instrument.Instrument) bool {
			there.Measured, there.Scale = nil, nil // added later, so not part of what was sent
			return etag.SameJSON(there, sent)
		})
	return instrumentOK(i), err
}

func instrumentOK(i app.Versioned[instrument.Instrument]) PutInstrumentResponseObject {
	return PutInstrument200JSONResponse{
		Body:    renderInstrument(i),
		Headers: PutInstrument200ResponseHeaders{ETag: etag.Version(i.Version)},
	}
}

func readInstrument(id uuid.UUID, s openapi.InstrumentSettings) instrument.Instrument {
	i := instrument.Instrument{
		ID: id, Kind: catalogue.Kind(s.Kind), Maker: s.Maker, Model: s.Model, Serial: s.Serial,
		StockNumber: s.StockNumber, Year: s.Year, SizeMM: s.SizeMM, Notes: s.Notes,
		Covering: string(s.Covering), Finish: string(s.Finish), Colour: s.Colour, Decorated: s.Decorated,
		Action: string(s.Action), Owner: instrument.Ownership(s.Owner), Party: s.Party,
		Country: s.Country,
	}
	if t := s.Stringing; t != nil {
		i.Stringing = &instrument.Stringing{
			LastSingle: t.LastSingle, LastPair: t.LastPair, Covered: t.Covered,
		}
	}
	return i
}

func renderInstrument(v app.Versioned[instrument.Instrument]) openapi.Instrument {
	i := v.Value
	out := openapi.Instrument{
		ID: i.ID, Kind: openapi.Kind(i.Kind), Maker: i.Maker, Model: i.Model, Serial: i.Serial,
		StockNumber: i.StockNumber, Year: i.Year, SizeMM: i.SizeMM, Notes: i.Notes,
		Covering: openapi.Covering(i.Covering), Finish: openapi.Finish(i.Finish), Colour: i.Colour,
		Decorated: i.Decorated, Action: openapi.ActionType(i.Action), Owner: openapi.Ownership(i.Owner),
		Party: i.Party, Country: i.Country, State: openapi.State(i.State), Version: v.Version,
		CreatedAt: v.CreatedAt,
	}
	if s := i.Stringing; s != nil {
		out.Stringing = &openapi.Stringing{
			LastSingle: s.LastSingle, LastPair: s.LastPair, Covered: s.Covered,
		}
	}
	return out
}
