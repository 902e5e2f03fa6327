package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/stock"

	"github.com/google/uuid"
)

// AddKit adds a kit.
func (a *App) AddKit(
	ctx context.Context, actor Actor, k stock.Kit,
) (Versioned[stock.Kit], error) {
	var made Versioned[stock.Kit]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		k, err := checkedKit(ctx, tx, k)
		if err != nil {
			return err
		}
		k.ID = newID(k.ID)
		made = created(k, tx)
		tx.Note(domain.KitAdded, k.ID, kitNoted(k, 1))
		return tx.AddKit(ctx, k)
	})
	return made, err
}

// ChangeKit replaces a kit, at the version that was read. What was issued by it before stays.
func (a *App) ChangeKit(
	ctx context.Context, actor Actor, k stock.Kit, version int64,
) (Versioned[stock.Kit], error) {
	var now Versioned[stock.Kit]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		old, err := tx.Kit(ctx, k.ID)
		if err != nil {
			return err
		}
		if k, err = checkedKit(ctx, tx, k); err != nil {
			return err
		}
		now = Versioned[stock.Kit]{Value: k, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.KitChanged, k.ID, kitNoted(k, version+1))
		return tx.SaveKit(ctx, k, version)
	})
	return now, err
}

// checkedKit checks a kit against the parts that there are.
func checkedKit(ctx context.Context, tx *postgres.Tx, k stock.Kit) (stock.Kit, error) {
	var ids []uuid.UUID
	for _, l := range k.Lines {
		ids = append(ids, l.Part)
	}
	parts, err := tx.PartsByID(ctx, ids)
	if err != nil {
		return k, err
	}
	return k.Checked(parts)
}

// IssuedKit is a kit as it went to a job.
type IssuedKit struct {
	stock.KitIssue
	Version int64 // of the kit
	Name    string
	Moves   []stock.Move
}

// IssueKit issues a kit to a job: all of its parts or, where one is short, none.
func (a *App) IssueKit(
	ctx context.Context, actor Actor, x stock.KitIssue,
) (IssuedKit, error) {
	made := IssuedKit{KitIssue: x}
	err := a.enter(ctx, actor, domain.MoveStock, func(tx *postgres.Tx) error {
		if _, err := booksNow(ctx, tx); err != nil { // before any row
			return err
		}
		k, err := tx.Kit(ctx, x.Kit)
		if err != nil {
			return err
		}
		made.Version, made.Name = k.Version, k.Value.Name
		drafts, err := x.Drafts(k.Value)
		if err != nil {
			return err
		}
		made.Moves, err = issueAll(ctx, tx, drafts)
		return err
	})
	return made, err
}

// issueAll locks the parts of some issues and makes all of them, or none.
func issueAll(
	ctx context.Context, tx *postgres.Tx, drafts []stock.Draft,
) ([]stock.Move, error) {
	parts := map[uuid.UUID]bool{}
	for _, d := range drafts {
		parts[d.Part] = true
	}
	held := map[uuid.UUID]postgres.StockedPart{}
	for _, id := range byID(parts) {
		p, err := tx.LockStock(ctx, id)
		if err != nil {
			return nil, err
		}
		held[id] = p
	}
	befores := make([]stock.Before, len(drafts))
	for i := range drafts {
		drafts[i].ID = newID(uuid.Nil)
		var err error
		if befores[i], err = beforeMove(ctx, tx, held[drafts[i].Part], drafts[i]); err != nil {
			return nil, err
		}
	}
	moves, err := stock.DecideAll(befores, drafts)
	if err != nil {
		return nil, err
	}
	for i, m := range moves {
		if moves[i], err = recordMove(ctx, tx, m, held[m.Part]); err != nil {
			return nil, err
		}
	}
	return moves, nil
}

func kitNoted(k stock.Kit, version int64) noted {
	lines := make([]noted, len(k.Lines))
	for i, l := range k.Lines {
		lines[i] = noted{"part": l.Part, "quantity": l.Quantity, "unit": l.Unit}
	}
	return noted{"name": k.Name, "lines": lines, "version": version}
}
