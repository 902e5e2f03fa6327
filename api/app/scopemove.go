package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// ScopeMove is a scope compared with itself under another revision of the catalogue.
type ScopeMove struct {
	ScopeComparison                  // Here is the scope as it stands, There as it would be
	Left            []scope.LeftEdit // edits that can't be carried over
	Kept            []scope.Edit     // edits of the scope as it would be
}

// PreviewScopeMove returns what a scope would become under another revision of the catalogue; to =
// 0 means the newest. It returns a Conflict Fault if the scope has become a job, or if the survey
// holds a finding whose point the other revision doesn't have.
func (a *App) PreviewScopeMove(
	ctx context.Context, actor Actor, scopeID uuid.UUID, to int,
) (ScopeMove, error) {
	c, err := compute(ctx, a, actor, brief, a.loadMove(scopeID, to), moveFor(actor))
	return c.out, err
}

// MoveScope moves a scope, at the version that was read, to another revision of the catalogue; to =
// 0 means the newest. Edits that can't be carried over are a Conflict Fault that names each and
// what to do about it, unless leaveOut is set: then they are dropped.
func (a *App) MoveScope(
	ctx context.Context, actor Actor, id uuid.UUID, to int, leaveOut bool, version int64,
) (Versioned[DrawnScope], error) {
	var now Versioned[DrawnScope]
	load, move := a.loadMove(id, to), moveFor(actor)
	err := computeAndWrite(ctx, a, actor, domain.WriteScopes, brief, load, move, func(
		tx *postgres.Tx, c computed[moveFile, ScopeMove],
	) error {
		if err := tx.LockQueue(ctx); err != nil { // nobody accepts the scope until it has moved
			return err
		}
		if err := checkNotUnderWay(ctx, tx.Reader, id); err != nil {
			return err
		}
		m, old := c.out, c.in.here
		if len(m.Left) > 0 && !leaveOut {
			return leftEditsFault(m.Left)
		}
		now = Versioned[DrawnScope]{
			Value: m.There.DrawnScope, Version: version + 1, CreatedAt: old.CreatedAt,
		}
		tx.Note(domain.ScopeMoved, id, noted{
			"instrument": old.Value.Instrument.ID, "version": version + 1,
			"from": old.Value.Revision, "to": m.There.Revision, "edits_left_out": len(m.Left),
		})
		if _, err := tx.Reader.Scope(ctx, id); err != nil {
			return err
		}
		return tx.SaveScopeMove(ctx, m.There.ScopeRecord, version)
	})
	return now, err
}

func leftEditsFault(left []scope.LeftEdit) error {
	fault := domain.Refuse(domain.Conflict, "%d of the scope's edits can't be carried over; "+
		"remove them from its edits first, or send \"leave_out\": true", len(left))
	for _, x := range left {
		fault.Chain = append(
			fault.Chain,
			fmt.Sprintf("edit %d (%s): %s; %s", x.Position+1, editName(x.Edit), x.Why, x.Do),
		)
		fault.Chain = append(fault.Chain, x.Chain...)
	}
	return fault
}

// editName returns an edit in words.
func editName(e scope.Edit) string {
	if e.Group != "" {
		return fmt.Sprintf("%s %s=%s", e.Kind, e.Group, e.Option)
	}
	return fmt.Sprintf("%s %s", e.Kind, e.Operation)
}

// moveFile is a scope with the revision that it would move to; neither is drawn yet.
type moveFile struct {
	here  Versioned[DrawnScope]
	there DrawnScope
	cal   plan.Situation
}

// loadMove returns what loads a scope, and what it would be drawn from under another revision.
func (a *App) loadMove(
	id uuid.UUID, to int,
) func(context.Context, postgres.Snapshot) (moveFile, error) {
	return func(ctx context.Context, s postgres.Snapshot) (f moveFile, err error) {
		d, err := s.Scope(ctx, id)
		if err != nil {
			return f, err
		}
		if err := checkNotUnderWay(ctx, s.Reader, id); err != nil {
			return f, err
		}
		if f.here, err = a.loadScope(ctx, s.Reader, id); err != nil {
			return f, err
		}
		rev, err := a.revisionFor(ctx, s.Reader, to)
		if err != nil {
			return f, err
		}
		v, err := s.Survey(ctx, d.Value.Survey)
		if err != nil {
			return f, err
		}
		f.there = f.here.Value
		f.there.Revision, f.there.Catalogue = rev.Number, rev.Catalogue
		f.there.Judgements, err = judgeUnder(rev, f.there.Instrument, v.Value.Findings)
		if err != nil {
			return f, err
		}
		f.cal, err = a.calendar(ctx, s)
		return f, err
	}
}

// moveFor returns what draws a scope under another revision, with the edits that can be carried
// over, and compares the result with the scope as it stands.
func moveFor(actor Actor) func(context.Context, moveFile) (ScopeMove, error) {
	return func(ctx context.Context, f moveFile) (out ScopeMove, err error) {
		here, err := drawLines(ctx, f.here.Value)
		if err != nil {
			return out, err
		}
		there := f.there
		there.Scope, there.Edits, out.Left, err = there.drawing().Adopt(there.Edits)
		if err != nil {
			return out, err
		}
		if out.Here, err = evaluate(ctx, actor, here, f.cal); err != nil {
			return out, err
		}
		if out.There, err = evaluate(ctx, actor, there, f.cal); err != nil {
			return out, err
		}
		out.Lines, out.Kept = scope.Compare(here.Scope, there.Scope), there.Edits
		return out, nil
	}
}

// revisionFor returns a revision by its number; 0 means the newest.
func (a *App) revisionFor(
	ctx context.Context, r postgres.Reader, number int,
) (CatalogueRevision, error) {
	if number != 0 {
		return a.catalogueAt(ctx, r, number)
	}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return CatalogueRevision{}, err
	}
	return a.loadCatalogue(ctx, r, rev)
}

// judgeUnder judges findings under a revision. Findings whose points the revision doesn't have are
// a Conflict Fault that lists them.
func judgeUnder(
	rev CatalogueRevision, in instrument.Instrument, findings []survey.Finding,
) (survey.Judgements, error) {
	js, err := survey.Judge(rev.Catalogue, in.Kind, findings)
	if err == nil {
		return js, nil
	}
	fault := domain.Refuse(domain.Conflict,
		"revision %d of the catalogue doesn't have the points of some findings in the survey; "+
			"strike the findings, or put the points back", rev.Number)
	for _, f := range findings {
		if _, err := survey.CheckFindings(rev.Catalogue, in.Kind, []survey.Finding{f}); err != nil {
			fault.Chain = append(fault.Chain, fmt.Sprintf("%s: %v", f.Point, err))
		}
	}
	return nil, fault
}
