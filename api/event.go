package api

import (
	"context"
	"strconv"

	"bentside/api/postgres"
	"bentside/openapi"
)

// ListEvents reads on in the feed. A full page leads to the next one; a short
// one is the end for now.
func (h *handlers) ListEvents(ctx context.Context, r ListEventsRequestObject) (ListEventsResponseObject, error) {
	limit := limitOr(r.Params.Limit)
	events, err := h.app.Read(ctx, actorOf(ctx)).Events(ctx, r.Params.After, limit)
	if err != nil {
		return nil, err
	}
	var headers ListEvents200ResponseHeaders
	if len(events) == limit {
		link := nextLink(ctx, "after", strconv.FormatInt(events[limit-1].Position, 10))
		headers.Link = &link
	}
	return ListEvents200JSONResponse{Body: openapi.EventList{Items: renderAll(events, renderEvent)}, Headers: headers}, nil
}

func renderEvent(e postgres.Event) openapi.Event {
	return openapi.Event{
		Position: e.Position, Kind: e.Kind, Subject: e.Subject, RecordedAt: e.RecordedAt, Actor: e.Actor,
		RequestID: e.RequestID, Reason: e.Reason, Data: e.Data,
	}
}
