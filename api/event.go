package api

import (
	"context"
	"strconv"

	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/openapi"
)

// ListEvents lists events after a position. A full page links to the next one; a shorter one is the
// last for now.
func (h *handlers) ListEvents(
	ctx context.Context, r ListEventsRequestObject,
) (ListEventsResponseObject, error) {
	limit := page.Limit(r.Params.Limit)
	events, err := h.app.Read(ctx, middleware.Actor(ctx)).Events(ctx, r.Params.After, limit)
	if err != nil {
		return nil, err
	}
	var headers ListEvents200ResponseHeaders
	if len(events) == limit {
		link := page.Link(ctx, "after", strconv.FormatInt(events[limit-1].Position, 10))
		headers.Link = &link
	}
	return ListEvents200JSONResponse{
		Body: openapi.EventList{Items: convert.All(events, renderEvent)}, Headers: headers,
	}, nil
}

func renderEvent(e postgres.Event) openapi.Event {
	return openapi.Event{
		Position: e.Position, Kind: string(e.Kind), Subject: e.Subject, RecordedAt: e.RecordedAt,
		Actor: e.Actor, RequestID: e.RequestID, Reason: e.Reason, Data: e.Data,
	}
}
