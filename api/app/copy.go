package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// CopiedScope is a scope copied from another, with the edits that don't apply to this instrument.
type CopiedScope struct {
	Versioned[DrawnScope]
	Left []scope.LeftEdit
}

// CopyScope stores a new scope with the depth of an earlier one, of this or another instrument, and
// those of its edits that apply here. It pins the newest catalogue and uses the survey in d. A
// depth in d overrides the earlier one's; edits in d are ignored.
func (a *App) CopyScope(
	ctx context.Context, actor Actor, d postgres.ScopeRecord, from uuid.UUID,
) (CopiedScope, error) {
	var made CopiedScope
	load := func(ctx context.Context, s postgres.Snapshot) (pair copyFile, err error) {
		if pair.from, err = a.scopeToCopy(ctx, s.Reader, from); err != nil {
			return pair, err
		}
		if d.Depth == "" {
			d.Depth = pair.from.Depth
		}
		d.Edits = nil
		if err := pin(ctx, s.Reader, &d); err != nil {
			return pair, err
		}
		pair.to, err = a.undrawn(ctx, s.Reader, d)
		return pair, err
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteScopes, brief, load, copyScope, func(
		tx *postgres.Tx, c computed[copyFile, CopiedScope],
	) error {
		made = c.out
		drawn := made.Value
		made.Versioned = created(drawn, tx)
		told := scopeNoted(drawn.ScopeRecord)
		told["copied_from"], told["edits_left_out"] = from, len(made.Left)
		tx.Note(domain.ScopeDrawn, drawn.ID, told)
		return tx.AddScope(ctx, drawn.ScopeRecord)
	})
	return made, err
}

// copyFile is a scope to be made from another; neither is drawn yet.
type copyFile struct{ from, to DrawnScope }

// copyScope draws both scopes, the new one with those of the other's edits that apply to it.
func copyScope(ctx context.Context, f copyFile) (made CopiedScope, err error) {
	from, err := drawLines(ctx, f.from)
	if err != nil {
		return made, err
	}
	to, err := drawLines(ctx, f.to)
	if err != nil {
		return made, err
	}
	to.Scope, to.Edits, made.Left, err = to.drawing().CopyEdits(from.Edits, from.Scope)
	made.Value = to
	return made, err
}

// scopeToCopy returns the scope to copy from. If it doesn't exist, the fault points at the
// request's field.
func (a *App) scopeToCopy(
	ctx context.Context, r postgres.Reader, from uuid.UUID,
) (DrawnScope, error) {
	d, err := r.Scope(ctx, from)
	if faultIs(err, domain.NotFound) {
		return DrawnScope{}, domain.Faults{
			{Pointer: "#/copy_from", Detail: noSuchScope},
		}.Err()
	}
	if err != nil {
		return DrawnScope{}, err
	}
	return a.undrawn(ctx, r, d.Value)
}
