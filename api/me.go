package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// allActs lists every guarded act in the order in which /v1/me tells them.
var allActs = []domain.Act{
	domain.ReadShop, domain.ReadMoney, domain.WriteInstruments, domain.WriteScopes, domain.WriteBids, domain.WriteJobs,
	domain.WriteProgress, domain.WriteSettings, domain.IssueTokens, domain.ReadFeed,
}

// GetMe says who the token stands for.
func (h *handlers) GetMe(ctx context.Context, _ GetMeRequestObject) (GetMeResponseObject, error) {
	a := actorOf(ctx)
	name, err := h.app.Read(ctx, a).UserName(ctx, a.User)
	if err != nil {
		return nil, err
	}
	me := openapi.Me{Workshop: a.Workshop, User: a.User, Name: name, Role: openapi.Role(a.Role), May: []string{}}
	for _, act := range allActs {
		if a.Role.May(act) {
			me.May = append(me.May, string(act))
		}
	}
	tag, err := digestTag(me)
	return GetMe200JSONResponse{Body: me, Headers: GetMe200ResponseHeaders{ETag: tag}}, err
}
