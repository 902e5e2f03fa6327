package postgres

import (
	"context"

	"bentside/domain"
	"bentside/domain/stock"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

const kitColumns = `SELECT id, name, lines, note, version, created_at FROM kits`

func scanKit(row pgx.CollectableRow) (v domain.Versioned[stock.Kit], err error) {
	k := &v.Value
	err = row.Scan(&k.ID, &k.Name, &k.Lines, &k.Note, &v.Version, &v.CreatedAt)
	return v, err
}

// Kits returns a page of the kits by name. No two share one.
func (r Reader) Kits(ctx context.Context, p Page) ([]domain.Versioned[stock.Kit], error) {
	q := &query{sql: kitColumns}
	q.where("workshop_id = " + q.arg(r.workshop))
	q.page(order{column: "name_key", key: lowerKey}, p)
	return many(ctx, r, scanKit, q.sql, q.args...)
}

// Kit returns one kit.
func (r Reader) Kit(ctx context.Context, id uuid.UUID) (domain.Versioned[stock.Kit], error) {
	return one(ctx, r, "kit", scanKit, kitColumns+`
		WHERE workshop_id = $1 AND id = $2`, r.workshop, id)
}

// AddKit adds a kit.
func (tx *Tx) AddKit(ctx context.Context, k stock.Kit) error {
	return tx.exec(ctx, `
		INSERT INTO kits (workshop_id, id, name, lines, note, created_at)
		VALUES ($1, $2, $3, $4, $5, $6)`, tx.workshop, k.ID, k.Name, k.Lines, k.Note, tx.now)
}

// SaveKit replaces a kit, at the version that was read.
func (tx *Tx) SaveKit(ctx context.Context, k stock.Kit, version int64) error {
	return tx.update(ctx, "kit", `
		UPDATE kits
		SET name = $3, lines = $4, note = $5, version = version + 1
		WHERE workshop_id = $1 AND id = $2 AND version = $6`,
		tx.workshop, k.ID, k.Name, k.Lines, k.Note, version)
}
