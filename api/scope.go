package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListScopes lists a page of an instrument's scopes.
func (h *handlers) ListScopes(ctx context.Context, r ListScopesRequestObject) (ListScopesResponseObject, error) {
	page, err := h.pageOf(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Scopes(ctx, r.ID, page)
	if err != nil {
		return nil, err
	}
	out := renderPage(ctx, h, page, list, placeOfScope, renderScopeHead)
	return ListScopes200JSONResponse{
		Body: openapi.ScopePage{Items: out.Items, NextCursor: out.Next}, Headers: ListScopes200ResponseHeaders{Link: out.Link},
	}, nil
}

// CreateScope draws up the work at a depth.
func (h *handlers) CreateScope(ctx context.Context, r CreateScopeRequestObject) (CreateScopeResponseObject, error) {
	if r.Body.CopyFrom != uuid.Nil {
		return h.copyScope(ctx, r)
	}
	if r.Body.Depth == "" {
		return nil, refuseField("#/depth", "is missing")
	}
	s, err := h.app.DrawScope(ctx, actorOf(ctx), postgres.Decision{
		Instrument: r.ID, Survey: r.Body.Survey, Depth: catalogue.Depth(r.Body.Depth), Edits: renderAll(r.Body.Edits, readEdit),
	})
	if err != nil {
		return nil, err
	}
	body, tag, err := renderScope(s, viewOf(actorOf(ctx)))
	return CreateScope201JSONResponse{
		Body: body, Headers: CreateScope201ResponseHeaders{ETag: tag, Location: "/v1/scopes/" + s.Value.ID.String()},
	}, err
}

// copyScope draws up the work with the decisions of an earlier scope.
func (h *handlers) copyScope(ctx context.Context, r CreateScopeRequestObject) (CreateScopeResponseObject, error) {
	if len(r.Body.Edits) > 0 {
		return nil, refuseField("#/edits", "come from the earlier scope; put others on the copy")
	}
	s, err := h.app.CopyScope(ctx, actorOf(ctx), postgres.Decision{
		Instrument: r.ID, Survey: r.Body.Survey, Depth: catalogue.Depth(r.Body.Depth),
	}, r.Body.CopyFrom)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderScope(s.Versioned, viewOf(actorOf(ctx)))
	body.LeftOut = renderAll(s.Left, renderLeftEdit)
	return CreateScope201JSONResponse{
		Body: body, Headers: CreateScope201ResponseHeaders{ETag: tag, Location: "/v1/scopes/" + s.Value.ID.String()},
	}, err
}

// renderSuggestions gives remarks with what taking them calls for.
func renderSuggestions(c *catalogue.Catalogue, list []domain.Reason) []openapi.Suggestion {
	return renderAll(list, func(r domain.Reason) openapi.Suggestion {
		out := openapi.Suggestion{Rule: r.Rule, Points: texts[catalogue.PointCode, openapi.PointCode](r.Points), Says: r.Says}
		if rule := domain.Suggested(c, r.Rule); rule != nil {
			out.Takes = renderAll(rule.Calls, func(k catalogue.Call) openapi.SuggestedWork {
				return openapi.SuggestedWork{Operation: string(k.Operation), Group: k.Group, Option: k.Option}
			})
		}
		return out
	})
}

// GetScope shows a scope with its reasons.
func (h *handlers) GetScope(ctx context.Context, r GetScopeRequestObject) (GetScopeResponseObject, error) {
	s, err := h.app.Scope(ctx, actorOf(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderScope(s, viewOf(actorOf(ctx)))
	return GetScope200JSONResponse{Body: body, Headers: GetScope200ResponseHeaders{ETag: tag}}, err
}

// PutEdits replaces the buyer's edits.
func (h *handlers) PutEdits(ctx context.Context, r PutEditsRequestObject) (PutEditsResponseObject, error) {
	version, err := versionIn(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.EditScope(ctx, actorOf(ctx), r.ID, renderAll(r.Body.Edits, readEdit), version)
	if err != nil {
		return nil, err
	}
	body, tag, err := renderScope(s, viewOf(actorOf(ctx)))
	return PutEdits200JSONResponse{Body: body, Headers: PutEdits200ResponseHeaders{ETag: tag}}, err
}

func placeOfScope(s app.Versioned[postgres.Decision]) postgres.Place { return placeOf(s, s.Value.ID) }

func renderScopeHead(v app.Versioned[postgres.Decision]) openapi.ScopeHead {
	d := v.Value
	return openapi.ScopeHead{
		ID: d.ID, Instrument: d.Instrument, Survey: d.Survey, Depth: openapi.Depth(d.Depth), Revision: revisionNumber(d.Revision),
		Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

// renderScope gives a scope with its tag, which covers the lines too: they
// follow from the survey and the terms beside the scope's own version.
func renderScope(v app.Versioned[app.DrawnScope], shown view) (openapi.Scope, string, error) {
	d, s := v.Value.Decision, v.Value.Scope
	out := openapi.Scope{
		ID: d.ID, Instrument: d.Instrument, Survey: d.Survey, Depth: openapi.Depth(d.Depth), Revision: revisionNumber(d.Revision),
		Edits: renderAll(d.Edits, renderEdit), Lines: renderAll(s.Lines, renderScopeLine), Settled: map[string]string{},
		Stops: renderAll(s.Stops, renderStop), Suggestions: renderSuggestions(v.Value.Catalogue, s.Suggestions),
		Unknown: orEmptyList(texts[catalogue.PointCode, openapi.PointCode](s.Unknown)), Idle: renderAll(s.Idle, renderEdit),
		Version: v.Version, CreatedAt: v.CreatedAt,
	}
	for group, option := range s.Settled {
		out.Settled[group] = option
	}
	out.Doubts = showDoubts(v.Value, shown)
	notes := domain.CautionsByLine(v.Value.Catalogue, v.Value.Instrument, v.Value.Judgements, s)
	for i := range out.Lines {
		out.Lines[i].CautionNotes = renderAll(notes[i], renderCaution)
	}
	out.Deference = catalogue.Deference
	tag, err := derivedTag(v.Version, out)
	return out, tag, err
}

func renderScopeLine(l domain.Line) openapi.ScopeLine {
	return openapi.ScopeLine{
		Operation: string(l.Operation), Name: l.Name, Skill: l.Skill, Driver: l.Driver, Quantity: l.Quantity,
		Basis: openapi.ScopeLineBasis(l.Basis), Formula: l.Formula, Hours: renderThreePoint(l.Hours),
		Making: openapi.Making(l.Making), Chance: l.Chance, RevealedBy: string(l.RevealedBy),
		Branches: renderAll(l.Branches, renderDoubtBranch), Expected: l.Expected, Sessions: l.Sessions,
		Reasons: renderAll(l.Reasons, renderReason), Cautions: l.Cautions, Standing: string(l.Standing), Edited: l.Edited,
	}
}

func renderReason(r domain.Reason) openapi.Reason {
	return openapi.Reason{
		Rule: r.Rule, Points: texts[catalogue.PointCode, openapi.PointCode](r.Points), From: string(r.From), Says: r.Says,
	}
}

func renderStop(s domain.Stop) openapi.Stop {
	return openapi.Stop{Point: string(s.Point), Says: s.Says}
}

// revisionNumber is the number of a catalogue's revision, an integer in the
// store.
func revisionNumber(n int) int32 { return int32(n) } //nolint:gosec // the column is an integer

func readEdit(e openapi.Edit) domain.Edit {
	out := domain.Edit{
		Kind: domain.EditKind(e.Kind), Operation: catalogue.Code(e.Operation), Group: e.Group, Option: e.Option,
		Quantity: e.Quantity, Chance: e.Chance, Making: catalogue.Making(e.Making), Part: catalogue.Part(e.Part),
		Depth: catalogue.Depth(e.Depth), Rule: e.Rule, Why: e.Why,
	}
	if h := e.Hours; h != nil {
		out.Hours = &catalogue.ThreePoint{Low: h.Low, Likely: h.Likely, High: h.High}
	}
	return out
}

func renderEdit(e domain.Edit) openapi.Edit {
	out := openapi.Edit{
		Kind: openapi.EditKind(e.Kind), Operation: string(e.Operation), Group: e.Group, Option: e.Option,
		Quantity: e.Quantity, Chance: e.Chance, Making: openapi.EditMaking(e.Making), Part: openapi.EditPart(e.Part),
		Depth: openapi.Depth(e.Depth), Rule: e.Rule, Why: e.Why,
	}
	if e.Hours != nil {
		out.Hours = &openapi.HoursRange{Low: e.Hours.Low, Likely: e.Hours.Likely, High: e.Hours.High}
	}
	return out
}
