package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/etag"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/api/problem"
	"bentside/domain/catalogue"
	"bentside/domain/caution"
	"bentside/domain/scope"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListScopes lists a page of an instrument's scopes.
func (h *handlers) ListScopes(
	ctx context.Context, r ListScopesRequestObject,
) (ListScopesResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	reader := h.app.Read(ctx, middleware.Actor(ctx))
	if _, err := reader.Instrument(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.Scopes(ctx, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfScope)
	return ListScopes200JSONResponse{
		Body: openapi.ScopePage{
			Items: convert.All(rows, renderScopeHead), NextCursor: next.Cursor,
		},
		Headers: ListScopes200ResponseHeaders{Link: next.Link},
	}, nil
}

// CreateScope draws up the work for a depth.
func (h *handlers) CreateScope(
	ctx context.Context, r CreateScopeRequestObject,
) (CreateScopeResponseObject, error) {
	if r.Body.CopyFrom != uuid.Nil {
		return h.copyScope(ctx, r)
	}
	if r.Body.Depth == "" {
		return nil, problem.RefuseField("#/depth", "is missing")
	}
	s, err := h.app.DrawScope(ctx, middleware.Actor(ctx), postgres.ScopeRecord{
		Instrument: r.ID, Survey: r.Body.Survey, Depth: catalogue.Depth(r.Body.Depth),
		Edits: convert.All(r.Body.Edits, readEdit),
	})
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(middleware.Actor(ctx)).scope(s)
	return CreateScope201JSONResponse{
		Body: body,
		Headers: CreateScope201ResponseHeaders{
			ETag: tag, Location: "/v1/scopes/" + s.Value.ID.String(),
		},
	}, err
}

// copyScope draws up the work with the edits of an earlier scope.
func (h *handlers) copyScope(
	ctx context.Context, r CreateScopeRequestObject,
) (CreateScopeResponseObject, error) {
	if len(r.Body.Edits) > 0 {
		return nil, problem.RefuseField("#/edits",
			"must be left out: they come from the earlier scope; change them on the copy")
	}
	s, err := h.app.CopyScope(ctx, middleware.Actor(ctx), postgres.ScopeRecord{
		Instrument: r.ID, Survey: r.Body.Survey, Depth: catalogue.Depth(r.Body.Depth),
	}, r.Body.CopyFrom)
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(middleware.Actor(ctx)).scope(s.Versioned)
	body.LeftOut = convert.All(s.Left, renderLeftEdit)
	return CreateScope201JSONResponse{
		Body: body,
		Headers: CreateScope201ResponseHeaders{
			ETag: tag, Location: "/v1/scopes/" + s.Value.ID.String(),
		},
	}, err
}

// renderSuggestions renders suggestions, each with the work that taking it adds.
func renderSuggestions(c *catalogue.Catalogue, list []scope.Reason) []openapi.Suggestion {
	return convert.All(list, func(r scope.Reason) openapi.Suggestion {
		out := openapi.Suggestion{
			Rule: r.Rule, Points: convert.Texts[catalogue.PointCode, openapi.PointCode](r.Points),
			Says: r.Text,
		}
		if rule := scope.SuggestingRule(c, r.Rule); rule != nil {
			out.Takes = convert.All(rule.Calls, convert.SuggestedWork)
		}
		return out
	})
}

// GetScope shows a scope with its reasons.
func (h *handlers) GetScope(
	ctx context.Context, r GetScopeRequestObject,
) (GetScopeResponseObject, error) {
	s, err := h.app.Scope(ctx, middleware.Actor(ctx), r.ID)
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(middleware.Actor(ctx)).scope(s)
	return GetScope200JSONResponse{Body: body, Headers: GetScope200ResponseHeaders{ETag: tag}}, err
}

// PutScopeEdits replaces the edits of a scope.
func (h *handlers) PutScopeEdits(
	ctx context.Context, r PutScopeEditsRequestObject,
) (PutScopeEditsResponseObject, error) {
	version, err := etag.ParseIfMatch(r.Params.IfMatch)
	if err != nil {
		return nil, err
	}
	s, err := h.app.EditScope(ctx, middleware.Actor(ctx), r.ID, convert.All(r.Body.Edits, readEdit),
		version)
	if err != nil {
		return nil, err
	}
	body, tag, err := viewOf(middleware.Actor(ctx)).scope(s)
	return PutScopeEdits200JSONResponse{
		Body: body, Headers: PutScopeEdits200ResponseHeaders{ETag: tag},
	}, err
}

func placeOfScope(s app.Versioned[postgres.ScopeRecord]) postgres.Place {
	return page.PlaceOf(s, s.Value.ID)
}

func renderScopeHead(v app.Versioned[postgres.ScopeRecord]) openapi.ScopeHead {
	d := v.Value
	return openapi.ScopeHead{
		ID: d.ID, Instrument: d.Instrument, Survey: d.Survey, Depth: openapi.Depth(d.Depth),
		Revision: convert.RevisionNumber(d.Revision), Version: v.Version, CreatedAt: v.CreatedAt,
	}
}

// scope returns a scope and its tag, which covers the lines too: they depend on the survey and the
// terms as well as on the scope's own version.
func (v view) scope(drawn app.Versioned[app.DrawnScope]) (openapi.Scope, string, error) {
	d, s := drawn.Value.ScopeRecord, drawn.Value.Scope
	out := openapi.Scope{
		ID: d.ID, Instrument: d.Instrument, Survey: d.Survey, Depth: openapi.Depth(d.Depth),
		Revision: convert.RevisionNumber(d.Revision), Edits: convert.All(d.Edits, renderEdit),
		Lines:   convert.All(s.Lines, convert.ScopeLine),
		Settled: map[string]string{},
		Stops: append(
			convert.All(drawn.Value.Stops, convert.Stop), convert.All(s.Stops, convert.Undoable)...,
		),
		Suggestions: renderSuggestions(drawn.Value.Catalogue, s.Suggestions),
		Unknown:     convert.NotNull(convert.Texts[catalogue.PointCode, openapi.PointCode](s.Unknown)),
		Idle:        convert.All(s.Idle, renderEdit),
		LeftOut:     convert.All(drawn.Value.Unfit, renderLeftEdit),
		Version:     drawn.Version, CreatedAt: drawn.CreatedAt,
	}
	for group, option := range s.Settled {
		out.Settled[group] = option
	}
	out.Doubts = convert.Doubts(drawn.Value, v == withMoney)
	edits, err := drawn.Value.Consequences()
	if err != nil {
		return out, "", err
	}
	out.Omitted = convert.All(edits.Omitted, convert.Omission)
	out.Dropped = convert.All(edits.Dropped, convert.Dropped)
	out.Undone = convert.All(edits.Undone, convert.UndoneFinding)
	notes := caution.CautionsByLine(drawn.Value.Catalogue, drawn.Value.Instrument,
		drawn.Value.Judgements, s, drawn.Value.Stops)
	for i := range out.Lines {
		out.Lines[i].CautionNotes = convert.All(notes[i], renderCaution)
	}
	out.Cautions = convert.All(
		caution.CautionsOfFindings(drawn.Value.Catalogue, drawn.Value.Instrument,
			drawn.Value.Judgements, s, drawn.Value.Stops), renderCaution)
	out.Deference = catalogue.Deference
	tag, err := etag.Derived(drawn.Version, out)
	return out, tag, err
}

func readEdit(e openapi.Edit) scope.Edit {
	out := scope.Edit{
		Kind: scope.EditKind(e.Kind), Operation: catalogue.Code(e.Operation), Group: e.Group,
		Option: e.Option, Quantity: e.Quantity, Chance: e.Chance, Making: catalogue.Making(e.Making),
		Part: catalogue.Part(e.Part), Depth: catalogue.Depth(e.Depth), Rule: e.Rule, Why: e.Why,
		Because: scope.Ground(e.Because), By: e.By,
	}
	if h := e.Hours; h != nil {
		out.Hours = &catalogue.ThreePoint{Low: h.Low, Likely: h.Likely, High: h.High}
	}
	return out
}

func renderEdit(e scope.Edit) openapi.Edit {
	out := openapi.Edit{
		Kind: openapi.EditKind(e.Kind), Operation: string(e.Operation), Group: e.Group, Option: e.Option,
		Quantity: e.Quantity, Chance: e.Chance, Making: openapi.EditMaking(e.Making),
		Part: openapi.EditPart(e.Part), Depth: openapi.Depth(e.Depth), Rule: e.Rule, Why: e.Why,
		Because: openapi.EditBecause(e.Because), By: e.By,
	}
	if e.Hours != nil {
		out.Hours = &openapi.HoursRange{
			Low: e.Hours.Low, Likely: e.Hours.Likely, High: e.Hours.High,
		}
	}
	return out
}
