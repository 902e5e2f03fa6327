package app

import (
	"context"
	"errors"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// DrawnScope is a scope with all that it was drawn up from.
type DrawnScope struct {
	postgres.Decision
	Scope      domain.Scope
	Instrument domain.Instrument
	Judgements domain.Judgements
	Catalogue  *catalogue.Catalogue
	Workshop   domain.Workshop
}

// DrawScope draws up and keeps a scope of work at a depth, pinned to the newest
// catalogue, with the buyer's edits.
func (a *App) DrawScope(ctx context.Context, actor Actor, d postgres.Decision) (Versioned[DrawnScope], error) {
	var made Versioned[DrawnScope]
	err := a.write(ctx, actor, domain.WriteScopes, func(tx *postgres.Tx) error {
		if err := pin(ctx, tx, &d); err != nil {
			return err
		}
		drawn, err := a.draw(ctx, tx.Reader, d)
		if err != nil {
			return err
		}
		made = first(drawn, tx)
		tx.Note("scope.drawn", d.ID, map[string]any{"instrument": d.Instrument, "depth": d.Depth, "revision": d.Revision})
		return tx.AddScope(ctx, d)
	})
	return made, err
}

// pin gives a new scope its id and the newest revision, and wants the survey to
// be one of its instrument.
func pin(ctx context.Context, tx *postgres.Tx, d *postgres.Decision) error {
	rev, err := tx.LatestRevision(ctx)
	if err != nil {
		return err
	}
	d.ID, d.Revision = newID(d.ID), rev.Number
	s, err := tx.SurveyHead(ctx, d.Survey)
	if err != nil {
		return err
	}
	if s.Value.Instrument != d.Instrument {
		return domain.Faults{{Pointer: "#/survey", Detail: "is a survey of another instrument"}}.Err()
	}
	return nil
}

// EditScope replaces the buyer's edits of a scope at the version that was read;
// edits that contradict the rest are refused with the chain of reasons.
func (a *App) EditScope(ctx context.Context, actor Actor, id uuid.UUID, edits []domain.Edit, version int64) (Versioned[DrawnScope], error) {
	var now Versioned[DrawnScope]
	err := a.write(ctx, actor, domain.WriteScopes, func(tx *postgres.Tx) error {
		old, err := tx.Reader.Scope(ctx, id)
		if err != nil {
			return err
		}
		if err := notUnderWay(ctx, tx.Reader, id); err != nil {
			return err
		}
		d := old.Value
		d.Edits = edits
		drawn, err := a.draw(ctx, tx.Reader, d)
		if err != nil {
			return err
		}
		now = Versioned[DrawnScope]{Value: drawn, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note("scope.edited", id, map[string]any{"edits": len(edits)})
		return tx.SaveEdits(ctx, id, edits, version)
	})
	return now, err
}

// notUnderWay refuses to change a scope that was accepted as a job.
func notUnderWay(ctx context.Context, r postgres.Reader, scope uuid.UUID) error {
	_, err := r.JobOf(ctx, scope)
	switch {
	case err == nil:
		return domain.Refuse(domain.Conflict, "the scope is under way as a job: propose the change to the job")
	case faultIs(err, domain.NotFound):
		return nil
	}
	return err
}

// faultIs reports whether an error is a refusal of a kind.
func faultIs(err error, kind domain.FaultKind) bool {
	var f *domain.Fault
	return errors.As(err, &f) && f.Kind == kind
}

// Scope is a stored scope with its lines, drawn up anew from what is stored.
func (a *App) Scope(ctx context.Context, actor Actor, id uuid.UUID) (Versioned[DrawnScope], error) {
	r := a.Read(ctx, actor)
	d, err := r.Scope(ctx, id)
	if err != nil {
		return Versioned[DrawnScope]{}, err
	}
	drawn, err := a.draw(ctx, r, d.Value)
	return Versioned[DrawnScope]{Value: drawn, Version: d.Version, CreatedAt: d.CreatedAt}, err
}

// draw loads what a decision refers to and draws up its scope.
func (a *App) draw(ctx context.Context, r postgres.Reader, d postgres.Decision) (DrawnScope, error) {
	drawn := DrawnScope{Decision: d}
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
	if drawn.Judgements, err = domain.Judge(c.Catalogue, i.Value.Kind, s.Value.Findings); err != nil {
		return drawn, err
	}
	drawn.Scope, err = domain.Draw(c.Catalogue, i.Value, drawn.Judgements, d.Depth, d.Edits, w.Value.Terms.UnknownOdds)
	return drawn, err
}
