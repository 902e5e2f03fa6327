package api

import (
	"context"

	"bentside/domain"
	"bentside/openapi"
)

// PreviewRebase shows what a scope would become under another revision.
func (h *handlers) PreviewRebase(ctx context.Context, r PreviewRebaseRequestObject) (PreviewRebaseResponseObject, error) {
	a := actorOf(ctx)
	p, err := h.app.PreviewRebase(ctx, a, r.ID, int(r.Params.To))
	if err != nil {
		return nil, err
	}
	body := openapi.RebasePreview{
		From: revisionNumber(p.Here.Revision), To: revisionNumber(p.There.Revision),
		Comparison: renderComparison(p.Lines), LeftOut: renderAll(p.Left, renderLeftEdit),
	}
	body.Comparison.Here, body.Comparison.There = showComparedScope(p.Here, viewOf(a)), showComparedScope(p.There, viewOf(a))
	tag, err := digestTag(body)
	return PreviewRebase200JSONResponse{Body: body, Headers: PreviewRebase200ResponseHeaders{ETag: tag}}, err
}

// RebaseScope puts a scope on another revision.
func (h *handlers) RebaseScope(ctx context.Context, r RebaseScopeRequestObject) (RebaseScopeResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.RebaseScope(ctx, actorOf(ctx), r.ID, int(r.Body.To), r.Body.LeaveOut, version)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderScope(s, viewOf(actorOf(ctx)))
	return RebaseScope200JSONResponse{Body: body, Headers: RebaseScope200ResponseHeaders{ETag: tag}}, err
}

func renderLeftEdit(e domain.LeftEdit) openapi.LeftEdit {
	return openapi.LeftEdit{Position: e.Position, Edit: renderEdit(e.Edit), Why: e.Why, Do: e.Do, Chain: e.Chain}
}
