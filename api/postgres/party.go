package postgres

import (
	"context"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const partyColumns = `SELECT id, name, email, phone, address, note, version, created_at FROM parties`

func scanParty(row pgx.CollectableRow) (v domain.Versioned[domain.Party], err error) {
	p := &v.Value
	err = row.Scan(&p.ID, &p.Name, &p.Email, &p.Phone, &p.Address, &p.Note, &v.Version, &v.CreatedAt)
	return v, err
}

// Parties lists a page of the parties whose names begin with a text, by name.
func (r Reader) Parties(ctx context.Context, name string, p Page) ([]domain.Versioned[domain.Party], error) {
	q := &query{}
	where := "workshop_id = " + q.arg(r.workshop)
	if name != "" {
		where += " AND " + q.begins("name_key", plainKey, name)
	}
	if p.After != nil {
		where += " AND (name_key, id) > (lower(" + q.arg(p.After.Key) + "::text), " + q.arg(p.After.ID) + ")"
	}
	return many(ctx, r, scanParty, partyColumns+" WHERE "+where+" ORDER BY name_key, id LIMIT "+q.arg(p.Limit), q.args...)
}

// Party is one party.
func (r Reader) Party(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Party], error) {
	return one(ctx, r, "party", scanParty, partyColumns+` WHERE id = $1`, id)
}

// AddParty adds a party.
func (tx *Tx) AddParty(ctx context.Context, p domain.Party) error {
	return tx.exec(ctx, `
		INSERT INTO parties (workshop_id, id, name, email, phone, address, note, created_at)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`, tx.workshop, p.ID, p.Name, p.Email, p.Phone, p.Address, p.Note, tx.now)
}

// SaveParty replaces a party at the version that was read.
func (tx *Tx) SaveParty(ctx context.Context, p domain.Party, version int64) error {
	return tx.update(ctx, "party", `
		UPDATE parties
		SET name = $2, email = $3, phone = $4, address = $5, note = $6, version = version + 1
		WHERE id = $1 AND version = $7`, p.ID, p.Name, p.Email, p.Phone, p.Address, p.Note, version)
}
