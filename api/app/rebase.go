package app

import (
	"context"
	"fmt"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// Rebased is a scope drawn by another revision of the catalogue, held against
// the scope as it stands.
type Rebased struct {
	ScopeComparison // Here is the scope as it stands, There as it would be
	// Left are the edits that the other revision cannot take over.
	Left []domain.LeftEdit
	// Kept are the edits of the scope as it would be.
	Kept []domain.Edit
}

// PreviewRebase shows what a scope would become under another revision of the
// catalogue; to 0 is the newest. It is a Conflict Fault where a job stands on
// the scope, or where the survey holds a finding that the other revision does
// not know.
func (a *App) PreviewRebase(ctx context.Context, actor Actor, scope uuid.UUID, to int) (Rebased, error) {
	d, err := a.Read(ctx, actor).Scope(ctx, scope)
	if err != nil {
		return Rebased{}, err
	}
	return a.rebased(ctx, a.Read(ctx, actor), actor, d.Value, to)
}

// RebaseScope puts a scope on another revision of the catalogue at the version
// that was read; to 0 is the newest. Edits that the revision cannot take over
// are a Conflict Fault that names each and what to do, unless leaveOut is set:
// then they are dropped.
func (a *App) RebaseScope(ctx context.Context, actor Actor, id uuid.UUID, to int, leaveOut bool, version int64) (Versioned[DrawnScope], error) {
	var now Versioned[DrawnScope]
	err := a.write(ctx, actor, domain.WriteScopes, func(tx *postgres.Tx) error {
		if err := tx.LockQueue(ctx); err != nil { // so that nobody accepts the scope meanwhile
			return err
		}
		old, err := tx.Reader.Scope(ctx, id)
		if err != nil {
			return err
		}
		r, err := a.rebased(ctx, tx.Reader, actor, old.Value, to)
		if err != nil {
			return err
		}
		if len(r.Left) > 0 && !leaveOut {
			return refuseLeft(r.Left)
		}
		now = Versioned[DrawnScope]{Value: r.There.DrawnScope, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note("scope.rebased", id, map[string]any{
			"from": old.Value.Revision, "to": r.There.Revision, "edits_left_out": len(r.Left),
		})
		return tx.SaveRebase(ctx, r.There.Decision, version)
	})
	return now, err
}

func refuseLeft(left []domain.LeftEdit) error {
	fault := domain.Refuse(domain.Conflict, "%d of the scope's edits cannot be taken over; "+
		"take them out of its edits first, or ask for them to be left out", len(left))
	for _, x := range left {
		fault.Chain = append(fault.Chain, fmt.Sprintf("edit %d (%s): %s; %s", x.Position+1, editName(x.Edit), x.Why, x.Do))
		fault.Chain = append(fault.Chain, x.Chain...)
	}
	return fault
}

// editName says which edit it is.
func editName(e domain.Edit) string {
	if e.Group != "" {
		return fmt.Sprintf("%s %s=%s", e.Kind, e.Group, e.Option)
	}
	return fmt.Sprintf("%s %s", e.Kind, e.Operation)
}

// rebased draws a scope by another revision beside the scope as it stands.
func (a *App) rebased(ctx context.Context, r postgres.Reader, actor Actor, d postgres.Decision, to int) (Rebased, error) {
	var out Rebased
	if err := notUnderWay(ctx, r, d.ID); err != nil {
		return out, err
	}
	here, err := a.draw(ctx, r, d)
	if err != nil {
		return out, err
	}
	there, left, err := a.redrawn(ctx, r, here, to)
	if err != nil {
		return out, err
	}
	cal, err := a.calendar(ctx, r)
	if err != nil {
		return out, err
	}
	if out.Here, err = compared(actor, here, cal); err != nil {
		return out, err
	}
	if out.There, err = compared(actor, there, cal); err != nil {
		return out, err
	}
	out.Lines, out.Left, out.Kept = domain.Compare(here.Scope, there.Scope), left, there.Edits
	return out, nil
}

// redrawn is a scope drawn by another revision with the edits that it can take
// over, and those that it can't.
func (a *App) redrawn(ctx context.Context, r postgres.Reader, old DrawnScope, to int) (DrawnScope, []domain.LeftEdit, error) {
	now := old
	rev, err := a.revisionFor(ctx, r, to)
	if err != nil {
		return now, nil, err
	}
	now.Revision, now.Catalogue = rev.Number, rev.Catalogue
	s, err := r.Survey(ctx, old.Survey)
	if err != nil {
		return now, nil, err
	}
	if now.Judgements, err = judgedBy(rev, old.Instrument, s.Value.Findings); err != nil {
		return now, nil, err
	}
	var left []domain.LeftEdit
	now.Scope, now.Edits, left, err = now.drawing().Adopt(old.Edits)
	return now, left, err
}

// revisionFor is a revision by its number; 0 is the newest.
func (a *App) revisionFor(ctx context.Context, r postgres.Reader, number int) (CatalogueRevision, error) {
	if number != 0 {
		return a.catalogueAt(ctx, r, number)
	}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return CatalogueRevision{}, err
	}
	return a.withContent(ctx, r, rev)
}

// judgedBy judges findings by a revision; those that it does not know are a
// Conflict Fault that names them.
func judgedBy(rev CatalogueRevision, in domain.Instrument, findings []domain.Finding) (domain.Judgements, error) {
	js, err := domain.Judge(rev.Catalogue, in.Kind, findings)
	if err == nil {
		return js, nil
	}
	fault := domain.Refuse(domain.Conflict, "the survey holds findings that revision %d of the catalogue has no place for: "+
		"strike them, or put their points back into the catalogue", rev.Number)
	for _, f := range findings {
		if _, err := domain.CheckFindings(rev.Catalogue, in.Kind, []domain.Finding{f}); err != nil {
			fault.Chain = append(fault.Chain, fmt.Sprintf("%s: %v", f.Point, err))
		}
	}
	return nil, fault
}
