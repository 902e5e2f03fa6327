package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain"
	"bentside/openapi"
)

// GetMe shows whom the token identifies.
func (h *handlers) GetMe(ctx context.Context, _ GetMeRequestObject) (GetMeResponseObject, error) {
	a := middleware.Actor(ctx)
	name, err := h.app.Read(ctx, a).UserName(ctx, a.User)
	if err != nil {
		return nil, err
	}
	me := openapi.Me{
		Workshop: a.Workshop, User: a.User, Name: name, Role: openapi.Role(a.Role),
		May: convert.Texts[domain.Permission, string](middleware.PermissionsOf(a.Role)),
	}
	tag, err := etag.Digest(me)
	return GetMe200JSONResponse{Body: me, Headers: GetMe200ResponseHeaders{ETag: tag}}, err
}
