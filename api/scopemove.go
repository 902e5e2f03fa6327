package api

import (
	"context"

	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain/scope"
	"bentside/openapi"
)

// PreviewScopeMove shows how a scope would change under another revision of the catalogue.
func (h *handlers) PreviewScopeMove(
	ctx context.Context, r PreviewScopeMoveRequestObject,
) (PreviewScopeMoveResponseObject, error) {
	a := middleware.Actor(ctx)
	p, err := h.app.PreviewScopeMove(ctx, a, r.ID, int(r.Params.To))
	if err != nil {
		return nil, err
	}
	body := openapi.ScopeMovePreview{
		From: convert.RevisionNumber(p.Here.Revision), To: convert.RevisionNumber(p.There.Revision),
		Comparison: renderComparison(p.Lines), LeftOut: convert.All(p.Left, renderLeftEdit),
	}
	v := viewOf(a)
	body.Comparison.Here, body.Comparison.There = v.comparedScope(p.Here), v.comparedScope(p.There)
	tag, err := etag.Digest(body)
	return PreviewScopeMove200JSONResponse{
		Body: body, Headers: PreviewScopeMove200ResponseHeaders{ETag: tag},
	}, err
}

// MoveScope moves a scope to another revision of the catalogue.
func (h *handlers) MoveScope(
	ctx context.Context, r MoveScopeRequestObject,
) (MoveScopeResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.MoveScope(ctx, middleware.Actor(ctx),
		r.ID, int(r.Body.To), r.Body.LeaveOut, version)
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(middleware.Actor(ctx)).scope(s)
	return MoveScope200JSONResponse{
		Body: body, Headers: MoveScope200ResponseHeaders{ETag: tag},
	}, err
}

func renderLeftEdit(e scope.LeftEdit) openapi.LeftEdit {
	return openapi.LeftEdit{
		Position: e.Position, Edit: renderEdit(e.Edit), Why: e.Why, Do: e.Do, Chain: e.Chain,
	}
}
