package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
)

// AddParty adds a client, a seller or another firm.
func (a *App) AddParty(
	ctx context.Context, actor Actor, p domain.Party,
) (Versioned[domain.Party], error) {
	var made Versioned[domain.Party]
	err := a.write(ctx, actor, domain.WriteParties, func(tx *postgres.Tx) error {
		p.ID = newID(p.ID)
		if err := p.Check(); err != nil {
			return err
		}
		made = created(p, tx)
		tx.Note(domain.PartyAdded, p.ID, noted{"version": 1})
		return tx.AddParty(ctx, p)
	})
	return made, err
}

// ChangeParty replaces a party, at the version that was read.
func (a *App) ChangeParty(
	ctx context.Context, actor Actor, p domain.Party, version int64,
) (Versioned[domain.Party], error) {
	var now Versioned[domain.Party]
	err := a.write(ctx, actor, domain.WriteParties, func(tx *postgres.Tx) error {
		old, err := tx.Party(ctx, p.ID)
		if err != nil {
			return err
		}
		if err := p.Check(); err != nil {
			return err
		}
		now = Versioned[domain.Party]{Value: p, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note(domain.PartyChanged, p.ID, noted{"version": version + 1})
		return tx.SaveParty(ctx, p, version)
	})
	return now, err
}
