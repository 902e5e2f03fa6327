package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
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

// partyNames holds the ids of parties by the names that files call them by.
type partyNames map[string]uuid.UUID

// id returns the id of the party with a name, and adds the party if there is none.
func (known partyNames) id(ctx context.Context, tx *postgres.Tx, name string) (uuid.UUID, error) {
	if id, ok := known[name]; ok {
		return id, nil
	}
	id, err := tx.PartyNamed(ctx, name)
	if err != nil {
		return id, err
	}
	if id == uuid.Nil {
		id = newID(uuid.Nil)
		if err := tx.AddParty(ctx, domain.Party{ID: id, Name: name}); err != nil {
			return id, err
		}
		tx.Note(domain.PartyAdded, id, noted{"version": 1})
	}
	known[name] = id
	return id, nil
}
