package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// AddFinding enters one finding.
func (h *handlers) AddFinding(ctx context.Context, r AddFindingRequestObject) (AddFindingResponseObject, error) {
	f, err := h.app.AddFinding(ctx, actorOf(ctx), r.ID, readFinding(*r.Body))
	if err != nil {
		return nil, err
	}
	return AddFinding201JSONResponse(renderFinding(f)), nil
}

// PutFinding enters one finding under the client's id, once however often it
// is sent.
func (h *handlers) PutFinding(ctx context.Context, r PutFindingRequestObject) (PutFindingResponseObject, error) {
	a, b := actorOf(ctx), r.Body
	sent := readFinding(openapi.FindingDraft{
		ID: r.Finding, Point: b.Point, Where: b.Where, Value: b.Value, Unit: b.Unit, Flag: b.Flag, Answer: b.Answer,
		Note: b.Note, Raise: b.Raise,
	})
	f, err := h.app.AddFinding(ctx, a, r.ID, sent)
	if err == nil {
		return PutFinding201JSONResponse(renderFinding(f)), nil
	}
	there, err := orThere(err,
		func() (app.Versioned[domain.Finding], error) { return h.findingIn(ctx, r.ID, r.Finding) },
		func(there domain.Finding) bool {
			there.Canonical = nil
			return sameJSON(there, sent)
		})
	return PutFinding200JSONResponse(renderFinding(there.Value)), err
}

// StrikeFinding takes a finding out of its survey.
func (h *handlers) StrikeFinding(ctx context.Context, r StrikeFindingRequestObject) (StrikeFindingResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	return StrikeFinding204Response{}, h.app.StrikeFinding(ctx, actorOf(ctx), r.ID, r.Finding, version)
}

// findingIn is a finding of a survey, with the version of the survey.
func (h *handlers) findingIn(ctx context.Context, survey, finding uuid.UUID) (app.Versioned[domain.Finding], error) {
	s, err := h.app.Read(ctx, actorOf(ctx)).Survey(ctx, survey)
	if err != nil {
		return app.Versioned[domain.Finding]{}, err
	}
	for _, f := range s.Value.Findings {
		if f.ID == finding {
			return app.Versioned[domain.Finding]{Value: f, Version: s.Version, CreatedAt: s.CreatedAt}, nil
		}
	}
	// The id is taken by a finding of another survey: something else is there.
	return app.Versioned[domain.Finding]{}, nil
}

func readFinding(f openapi.FindingDraft) domain.Finding {
	return domain.Finding{
		ID: f.ID, Point: catalogue.PointCode(f.Point), Where: f.Where, Value: f.Value, Unit: f.Unit, Flag: f.Flag,
		Answer: f.Answer, Note: f.Note, Raise: catalogue.Severity(f.Raise),
	}
}

func renderFinding(f domain.Finding) openapi.Finding {
	return openapi.Finding{
		ID: f.ID, Point: string(f.Point), Where: f.Where, Value: f.Value, Unit: f.Unit, Canonical: f.Canonical, Flag: f.Flag,
		Answer: f.Answer, Note: f.Note, Raise: openapi.Raise(f.Raise),
	}
}
