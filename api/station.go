package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/openapi"
)

// ListStations lists the places of limited number.
func (h *handlers) ListStations(ctx context.Context, _ ListStationsRequestObject) (ListStationsResponseObject, error) {
	stations, err := h.app.Read(ctx, actorOf(ctx)).Stations(ctx)
	if err != nil {
		return nil, err
	}
	return ListStations200JSONResponse{Items: renderAll(stations, renderStation)}, nil
}

// GetStation shows one place of limited number.
func (h *handlers) GetStation(ctx context.Context, r GetStationRequestObject) (GetStationResponseObject, error) {
	s, err := h.app.Read(ctx, actorOf(ctx)).Station(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return GetStation200JSONResponse{Body: renderStation(s), Headers: GetStation200ResponseHeaders{ETag: versionTag(s.Version, fullView)}}, nil
}

// PutStation adds a station or changes one.
func (h *handlers) PutStation(ctx context.Context, r PutStationRequestObject) (PutStationResponseObject, error) {
	sent := domain.Station{ID: r.ID, Name: r.Body.Name, Count: r.Body.Count}
	if r.Params.IfMatch == "" {
		return h.addStation(ctx, sent)
	}
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.ChangeStation(ctx, actorOf(ctx), sent, version)
	return stationThere(s), err
}

func (h *handlers) addStation(ctx context.Context, sent domain.Station) (PutStationResponseObject, error) {
	a := actorOf(ctx)
	s, err := h.app.AddStation(ctx, a, sent)
	if err == nil {
		return PutStation201JSONResponse{
			Body: renderStation(s), Headers: PutStation201ResponseHeaders{ETag: versionTag(s.Version, fullView)},
		}, nil
	}
	s, err = orThere(err,
		func() (app.Versioned[domain.Station], error) { return h.app.Read(ctx, a).Station(ctx, sent.ID) },
		func(there domain.Station) bool { return sameJSON(there, sent) })
	return stationThere(s), err
}

func stationThere(s app.Versioned[domain.Station]) PutStationResponseObject {
	return PutStation200JSONResponse{
		Body: renderStation(s), Headers: PutStation200ResponseHeaders{ETag: versionTag(s.Version, fullView)},
	}
}

func renderStation(s app.Versioned[domain.Station]) openapi.Station {
	return openapi.Station{
		ID: s.Value.ID, Name: s.Value.Name, Count: s.Value.Count,
		Version: s.Version, CreatedAt: s.CreatedAt,
	}
}
