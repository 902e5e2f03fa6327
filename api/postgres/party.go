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

// Parties returns a page of the parties whose names begin with a text, by name.
func (r Reader) Parties(
	ctx context.Context, name string, p Page,
) ([]domain.Versioned[domain.Party], error) {
	q := &query{sql: partyColumns}
	q.where("workshop_id = " + q.arg(r.workshop))
	if name != "" {
		q.where(q.hasPrefix("name_key", lowerKey, name))
	}
	q.page(order{column: "name_key", tie: "id", key: lowerKey}, p)
	return many(ctx, r, scanParty, q.sql, q.args...)
}

// Party returns one party.
func (r Reader) Party(ctx context.Context, id uuid.UUID) (domain.Versioned[domain.Party], error) {
	return one(ctx, r, "party", scanParty, partyColumns+` WHERE id = $1`, id)
}

// AddParty adds a party.
func (tx *Tx) AddParty(ctx context.Context, p domain.Party) error {
	return tx.exec(ctx, `
		INSERT INTO parties (workshop_id, id, name, email, phone, address, note, created_at)
		VALUES (@workshop_id, @id, @name, @email, @phone, @address, @note, @created_at)`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "id": p.ID, "name": p.Name, "email": p.Email, "phone": p.Phone,
			"address": p.Address, "note": p.Note, "created_at": tx.now,
		})
}

// SaveParty replaces a party, at the version that was read.
func (tx *Tx) SaveParty(ctx context.Context, p domain.Party, version int64) error {
	return tx.update(ctx, "party", `
		UPDATE parties
		SET name = @name, email = @email, phone = @phone, address = @address, note = @note,
		version = version + 1
		WHERE id = @id AND version = @version`,
		pgx.StrictNamedArgs{
			"id": p.ID, "name": p.Name, "email": p.Email, "phone": p.Phone, "address": p.Address,
			"note": p.Note, "version": version,
		})
}
