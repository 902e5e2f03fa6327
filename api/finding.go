package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/domain/catalogue"
	"bentside/domain/survey"
	"bentside/openapi"

	"github.com/google/uuid"
)

// AddFinding records a finding.
func (h *handlers) AddFinding(
	ctx context.Context, r AddFindingRequestObject,
) (AddFindingResponseObject, error) {
	f, err := h.app.AddFinding(ctx, middleware.Actor(ctx), r.ID, readFinding(*r.Body))
	if err != nil {
		return nil, err
	}
	return AddFinding201JSONResponse(renderFinding(f)), nil
}

// PutFinding records a finding under the client's id, once however often it is sent.
func (h *handlers) PutFinding(
	ctx context.Context, r PutFindingRequestObject,
) (PutFindingResponseObject, error) {
	a, b := middleware.Actor(ctx), r.Body
	sent := readFinding(openapi.FindingDraft{
		ID: r.Finding, Point: b.Point, Where: b.Where, Value: b.Value, Unit: b.Unit, Flag: b.Flag,
		Answer: b.Answer, Note: b.Note, Raise: b.Raise,
	})
	f, err := h.app.AddFinding(ctx, a, r.ID, sent)
	if err == nil {
		return PutFinding201JSONResponse(renderFinding(f)), nil
	}
	there, err := etag.ExistingIfSame(err,
		func() (app.Versioned[survey.Finding], error) { return h.findingIn(ctx, r.ID, r.Finding) },
		func(there survey.Finding) bool {
			there.Canonical = nil
			return etag.SameJSON(there, sent)
		})
	return PutFinding200JSONResponse(renderFinding(there.Value)), err
}

// StrikeFinding removes a finding from its survey.
func (h *handlers) StrikeFinding(
	ctx context.Context, r StrikeFindingRequestObject,
) (StrikeFindingResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	return StrikeFinding204Response{}, h.app.StrikeFinding(ctx, middleware.Actor(ctx),
		r.ID, r.Finding, version)
}

// findingIn returns a finding of a survey, with the version of the survey.
func (h *handlers) findingIn(
	ctx context.Context, sv, finding uuid.UUID,
) (app.Versioned[survey.Finding], error) {
	s, err := h.app.Read(ctx, middleware.Actor(ctx)).Survey(ctx, sv)
	if err != nil {
		return app.Versioned[survey.Finding]{}, err
	}
	for _, f := range s.Value.Findings {
		if f.ID == finding {
			return app.Versioned[survey.Finding]{
				Value: f, Version: s.Version, CreatedAt: s.CreatedAt,
			}, nil
		}
	}
	// The id belongs to a finding of another survey, which differs from anything sent.
	return app.Versioned[survey.Finding]{}, nil
}

func readFinding(f openapi.FindingDraft) survey.Finding {
	return survey.Finding{
		ID: f.ID, Point: catalogue.PointCode(f.Point), Where: f.Where, Value: f.Value, Unit: f.Unit,
		Flag: f.Flag, Answer: f.Answer, Note: f.Note, Raise: catalogue.Severity(f.Raise),
	}
}

func renderFinding(f survey.Finding) openapi.Finding {
	return openapi.Finding{
		ID: f.ID, Point: string(f.Point), Where: f.Where, Value: f.Value, Unit: f.Unit,
		Canonical: f.Canonical, Flag: f.Flag, Answer: f.Answer, Note: f.Note,
		Raise: openapi.Raise(f.Raise),
	}
}
