package app

import (
	"context"
	"errors"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// CopiedScope is a scope that was copied from an earlier one, with the edits
// that make no sense here.
type CopiedScope struct {
	Versioned[DrawnScope]
	Left []domain.LeftEdit
}

// CopyScope draws up and keeps a scope with the depth of an earlier one, of this
// instrument or another, and those of its edits that make sense here. It is
// pinned to the newest catalogue and follows this instrument's survey. A depth
// in d holds over the earlier one; edits of d are not looked at.
func (a *App) CopyScope(ctx context.Context, actor Actor, d postgres.Decision, from uuid.UUID) (CopiedScope, error) {
	var made CopiedScope
	err := a.write(ctx, actor, domain.WriteScopes, func(tx *postgres.Tx) error {
		earlier, err := a.earlier(ctx, tx, from)
		if err != nil {
			return err
		}
		if d.Depth == "" {
			d.Depth = earlier.Depth
		}
		d.Edits = nil
		if err := pin(ctx, tx, &d); err != nil {
			return err
		}
		drawn, err := a.draw(ctx, tx.Reader, d)
		if err != nil {
			return err
		}
		if drawn.Scope, drawn.Edits, made.Left, err = drawn.drawing().CopyEdits(earlier.Edits, earlier.Scope); err != nil {
			return err
		}
		made.Versioned = first(drawn, tx)
		tx.Note("scope.drawn", d.ID, map[string]any{
			"instrument": d.Instrument, "depth": d.Depth, "revision": d.Revision, "copied_from": from, "edits_left_out": len(made.Left),
		})
		return tx.AddScope(ctx, drawn.Decision)
	})
	return made, err
}

// earlier is the scope to copy from; a fault points at it where there is none.
func (a *App) earlier(ctx context.Context, tx *postgres.Tx, from uuid.UUID) (DrawnScope, error) {
	d, err := tx.Reader.Scope(ctx, from)
	var fault *domain.Fault
	if errors.As(err, &fault) && fault.Kind == domain.NotFound {
		return DrawnScope{}, domain.Faults{{Pointer: "#/copy_from", Detail: "there is no such scope"}}.Err()
	}
	if err != nil {
		return DrawnScope{}, err
	}
	return a.draw(ctx, tx.Reader, d.Value)
}
