package api

import (
	"context"
	"maps"
	"slices"

	"bentside/openapi"
)

// guardedActs are the acts that some operation asks for, in alphabetical order.
var guardedActs = slices.Compact(slices.Sorted(maps.Values(acts)))

// GetMe says who the token stands for.
func (h *handlers) GetMe(ctx context.Context, _ GetMeRequestObject) (GetMeResponseObject, error) {
	a := actorOf(ctx)
	name, err := h.app.Read(ctx, a).UserName(ctx, a.User)
	if err != nil {
		return nil, err
	}
	me := openapi.Me{Workshop: a.Workshop, User: a.User, Name: name, Role: openapi.Role(a.Role), May: []string{}}
	for _, act := range guardedActs {
		if a.Role.May(act) {
			me.May = append(me.May, string(act))
		}
	}
	tag, err := digestTag(me)
	return GetMe200JSONResponse{Body: me, Headers: GetMe200ResponseHeaders{ETag: tag}}, err
}
