package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/stock"
)

// AddPartClass adds a class of parts.
func (a *App) AddPartClass(
	ctx context.Context, actor Actor, c stock.Class,
) (Versioned[stock.Class], error) {
	var made Versioned[stock.Class]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		c.ID = newID(c.ID)
		if err := c.Check(); err != nil {
			return err
		}
		made = created(c, tx)
		tx.Note(domain.PartClassAdded, c.ID, classNoted(c, 1))
		return tx.AddPartClass(ctx, c)
	})
	return made, err
}

// ChangePartClass replaces a class of parts, at the version that was read. Once a part of it has
// been moved its method stays.
func (a *App) ChangePartClass(
	ctx context.Context, actor Actor, c stock.Class, version int64,
) (Versioned[stock.Class], error) {
	var now Versioned[stock.Class]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		old, moved, err := tx.LockPartClass(ctx, c.ID)
		if err != nil {
			return err
		}
		if err := c.Check(); err != nil {
			return err
		}
		if err := c.CheckChange(old.Value, moved); err != nil {
			return err
		}
		now = Versioned[stock.Class]{Value: c, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.PartClassChanged, c.ID, classNoted(c, version+1))
		return tx.SavePartClass(ctx, c, version)
	})
	return now, err
}

// AddPart adds a part, of which nothing is in stock.
func (a *App) AddPart(
	ctx context.Context, actor Actor, p stock.Part,
) (Versioned[stock.Part], error) {
	var made Versioned[stock.Part]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		p.ID = newID(p.ID)
		if err := p.Check(); err != nil {
			return err
		}
		made = created(p, tx)
		tx.Note(domain.PartAdded, p.ID, partNoted(p, 1))
		return tx.AddPart(ctx, p)
	})
	return made, err
}

// ChangePart replaces a part, at the version that was read. Once it has been moved its unit and the
// method of its class stay.
func (a *App) ChangePart(
	ctx context.Context, actor Actor, p stock.Part, version int64,
) (Versioned[stock.Part], error) {
	var now Versioned[stock.Part]
	err := a.write(ctx, actor, domain.WriteStock, func(tx *postgres.Tx) error {
		held, err := tx.LockStock(ctx, p.ID)
		if err != nil {
			return err
		}
		if err := p.Check(); err != nil {
			return err
		}
		method, old := held.Method, held.Versioned
		if p.Class != old.Value.Class {
			to, _, err := tx.LockPartClass(ctx, p.Class)
			if err != nil {
				return unknown(err, "#/class", "no class of parts found with this id")
			}
			method = to.Value.Method
		}
		if err := p.CheckChange(old.Value, held.Method, method, held.Moves > 0); err != nil {
			return err
		}
		now = Versioned[stock.Part]{Value: p, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.PartChanged, p.ID, partNoted(p, version+1))
		return tx.SavePart(ctx, p, version)
	})
	return now, err
}
