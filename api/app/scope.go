package app

import (
	"context"
	"errors"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// DrawnScope is a scope with everything it was drawn from.
type DrawnScope struct {
	postgres.ScopeRecord
	Scope      scope.Scope
	Instrument instrument.Instrument
	Judgements survey.Judgements
	Stops      clearance.List // of the instrument, as they stand for the scope
	Catalogue  *catalogue.Catalogue
	Workshop   domain.Workshop
	// Unfit are stored edits that a later finding or a later rule forbids; the scope is drawn without
	// them.
	Unfit []scope.LeftEdit
}

// DrawScope draws and stores a scope of work at a depth, with the buyer's edits. It pins the newest
// catalogue.
func (a *App) DrawScope(
	ctx context.Context, actor Actor, d postgres.ScopeRecord,
) (Versioned[DrawnScope], error) {
	var made Versioned[DrawnScope]
	load := func(ctx context.Context, s postgres.Snapshot) (DrawnScope, error) {
		if err := pin(ctx, s.Reader, &d); err != nil {
			return DrawnScope{}, err
		}
		return a.undrawn(ctx, s.Reader, d)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteScopes, brief, load, drawLines, func(
		tx *postgres.Tx, c computed[DrawnScope, DrawnScope],
	) error {
		made = created(c.out, tx)
		tx.Note(domain.ScopeDrawn, c.out.ID, scopeNoted(c.out.ScopeRecord))
		return tx.AddScope(ctx, c.out.ScopeRecord)
	})
	return made, err
}

// pin gives a new scope its id and the newest revision, and checks that its survey is of its
// instrument.
func pin(ctx context.Context, r postgres.Reader, d *postgres.ScopeRecord) error {
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return err
	}
	d.ID, d.Revision = newID(d.ID), rev.Number
	s, err := r.SurveyHead(ctx, d.Survey)
	if err != nil {
		return err
	}
	if s.Value.Instrument != d.Instrument {
		return domain.Faults{
			{Pointer: "#/survey", Detail: notThisInstruments("survey")},
		}.Err()
	}
	return nil
}

// EditScope replaces the buyer's edits of a scope, at the version that was read. Edits that
// contradict the rest are refused with the chain of reasons.
func (a *App) EditScope(
	ctx context.Context, actor Actor, id uuid.UUID, edits []scope.Edit, version int64,
) (Versioned[DrawnScope], error) {
	var now Versioned[DrawnScope]
	load := func(ctx context.Context, s postgres.Snapshot) (Versioned[DrawnScope], error) {
		old, err := s.Scope(ctx, id)
		if err != nil {
			return Versioned[DrawnScope]{}, err
		}
		old.Value.Edits = edits
		d, err := a.undrawn(ctx, s.Reader, old.Value)
		return Versioned[DrawnScope]{Value: d, CreatedAt: old.CreatedAt}, err
	}
	draw := func(ctx context.Context, d Versioned[DrawnScope]) (DrawnScope, error) {
		return drawLines(ctx, d.Value)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteScopes, brief, load, draw, func(
		tx *postgres.Tx, c computed[Versioned[DrawnScope], DrawnScope],
	) error {
		if err := tx.LockQueue(ctx); err != nil { // nobody accepts the scope until the edits are saved
			return err
		}
		if err := checkNotUnderWay(ctx, tx.Reader, id); err != nil {
			return err
		}
		now = Versioned[DrawnScope]{Value: c.out, Version: version + 1, CreatedAt: c.in.CreatedAt}
		tx.Note(domain.ScopeEdited, id, noted{
			"instrument": c.out.Instrument.ID, "edits": len(edits), "version": version + 1,
		})
		if _, err := tx.Reader.Scope(ctx, id); err != nil {
			return err
		}
		return tx.SaveEdits(ctx, id, edits, version)
	})
	return now, err
}

// checkNotUnderWay refuses a scope that has been accepted as a job.
func checkNotUnderWay(ctx context.Context, r postgres.Reader, scopeID uuid.UUID) error {
	_, err := r.JobOf(ctx, scopeID)
	switch {
	case err == nil:
		return domain.Refuse(
			domain.Conflict, "the scope has been accepted as a job; propose a change of the job instead",
		)
	case faultIs(err, domain.NotFound):
		return nil
	}
	return err
}

// noSuchScope is the fault of a field that names a scope which doesn't exist.
const noSuchScope = "no scope found with this id"

// faultIs reports whether err is a Fault of a kind.
func faultIs(err error, kind domain.FaultKind) bool {
	var f *domain.Fault
	return errors.As(err, &f) && f.Kind == kind
}

// Scope returns a stored scope with its lines, drawn again from what is stored. It can always be
// read: edits that have become contradictory are reported as Unfit.
func (a *App) Scope(ctx context.Context, actor Actor, id uuid.UUID) (Versioned[DrawnScope], error) {
	c, err := compute(ctx, a, actor, brief, a.scopeLoader(id), drawStored)
	return c.out, err
}

// scopeLoader returns what loads a stored scope from a snapshot.
func (a *App) scopeLoader(
	id uuid.UUID,
) func(context.Context, postgres.Snapshot) (Versioned[DrawnScope], error) {
	return func(ctx context.Context, s postgres.Snapshot) (Versioned[DrawnScope], error) {
		return a.loadScope(ctx, s.Reader, id)
	}
}

// loadScope loads a stored scope and doesn't draw it.
func (a *App) loadScope(
	ctx context.Context, r postgres.Reader, id uuid.UUID,
) (Versioned[DrawnScope], error) {
	d, err := r.Scope(ctx, id)
	if err != nil {
		return Versioned[DrawnScope]{}, err
	}
	v, err := a.undrawn(ctx, r, d.Value)
	return Versioned[DrawnScope]{Value: v, Version: d.Version, CreatedAt: d.CreatedAt}, err
}

// drawStored draws a stored scope, without the edits that have become contradictory.
func drawStored(ctx context.Context, s Versioned[DrawnScope]) (Versioned[DrawnScope], error) {
	drawn, err := drawLines(ctx, s.Value)
	if faultIs(err, domain.Conflict) {
		drawn = s.Value
		drawn.Scope, _, drawn.Unfit, err = drawn.drawing().Adopt(drawn.Edits)
		drawn.Stops = drawn.Stops.In(drawn.Scope)
	}
	s.Value = drawn
	return s, err
}

// drawLines draws the lines of a scope.
func drawLines(ctx context.Context, s DrawnScope) (_ DrawnScope, err error) {
	if s.Scope, err = s.drawing().DrawAdding(); err != nil {
		return s, err
	}
	s.Stops = s.Stops.In(s.Scope)
	return s, ctx.Err()
}

// draw loads what a stored scope refers to and draws its lines.
func (a *App) draw(
	ctx context.Context, r postgres.Reader, d postgres.ScopeRecord,
) (DrawnScope, error) {
	drawn, err := a.undrawn(ctx, r, d)
	if err != nil {
		return drawn, err
	}
	return drawLines(ctx, drawn)
}

// undrawn loads what a stored scope refers to, with all stops of the instrument, and doesn't draw
// it.
func (a *App) undrawn(
	ctx context.Context, r postgres.Reader, d postgres.ScopeRecord,
) (DrawnScope, error) {
	drawn := DrawnScope{ScopeRecord: d}
	i, err := r.Instrument(ctx, d.Instrument)
	if err != nil {
		return drawn, err
	}
	s, err := r.Survey(ctx, d.Survey)
	if err != nil {
		return drawn, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return drawn, err
	}
	c, err := a.catalogueAt(ctx, r, d.Revision)
	if err != nil {
		return drawn, err
	}
	drawn.Instrument, drawn.Workshop, drawn.Catalogue = i.Value, w.Value, c.Catalogue
	drawn.Judgements, err = survey.Judge(c.Catalogue, i.Value.Kind, s.Value.Findings)
	if err != nil {
		return drawn, err
	}
	drawn.Stops, err = a.stopsOf(ctx, r, i.Value, w.Value)
	return drawn, err
}
