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

// ListStations lists a page of the places of limited number, by name.
func (h *handlers) ListStations(
	ctx context.Context, r ListStationsRequestObject,
) (ListStationsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Stations(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfStation)
	return ListStations200JSONResponse{
		Body: openapi.StationPage{
			Items: convert.All(rows, renderStation), NextCursor: next.Cursor,
		},
		Headers: ListStations200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfStation(s app.Versioned[domain.Station]) postgres.Place {
	return postgres.Place{Key: s.Value.Name, ID: s.Value.ID}
}

// GetStation shows one station.
func (h *handlers) GetStation(
	ctx context.Context, r GetStationRequestObject,
) (GetStationResponseObject, error) {
	s, err := h.app.Read(ctx, middleware.Actor(ctx)).Station(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetStation200JSONResponse{
		Body: renderStation(s), Headers: GetStation200ResponseHeaders{
			ETag: etag.Version(s.Version),
		},
	}, nil
}

// PutStation adds a station or changes one.
func (h *handlers) PutStation(
	ctx context.Context, r PutStationRequestObject,
) (PutStationResponseObject, error) {
	sent := domain.Station{ID: r.ID, Name: r.Body.Name, Count: r.Body.Count, Room: r.Body.Room}
	if r.Params.IfMatch == "" {
		return h.addStation(ctx, sent)
	}
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.ChangeStation(ctx, middleware.Actor(ctx), sent, version)
	return stationOK(s), err
}

func (h *handlers) addStation(
	ctx context.Context, sent domain.Station,
) (PutStationResponseObject, error) {
	a := middleware.Actor(ctx)
	s, err := h.app.AddStation(ctx, a, sent)
	if err == nil {
		return PutStation201JSONResponse{
			Body: renderStation(s), Headers: PutStation201ResponseHeaders{
				ETag: etag.Version(s.Version),
			},
		}, nil
	}
	s, err = etag.ExistingIfSame(err,
		func() (app.Versioned[domain.Station], error) {
			return h.app.Read(ctx, a).Station(ctx, sent.ID)
		},
		func(there domain.Station) bool { return etag.SameJSON(there, sent) })
	return stationOK(s), err
}

func stationOK(s app.Versioned[domain.Station]) PutStationResponseObject {
	return PutStation200JSONResponse{
		Body: renderStation(s), Headers: PutStation200ResponseHeaders{
			ETag: etag.Version(s.Version),
		},
	}
}

func renderStation(s app.Versioned[domain.Station]) openapi.Station {
	return openapi.Station{
		ID: s.Value.ID, Name: s.Value.Name, Count: s.Value.Count, Room: s.Value.Room,
		Version: s.Version, CreatedAt: s.CreatedAt,
	}
}
