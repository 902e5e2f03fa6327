package postgres

import (
	"context"

	"bentside/domain"

	"github.com/jackc/pgx/v5"
)

// Confirmations returns the confirmed settings of the workshop, in order of confirmation.
func (r Reader) Confirmations(ctx context.Context) ([]domain.Confirmation, error) {
	return many(ctx, r, func(row pgx.CollectableRow) (c domain.Confirmation, err error) {
		err = row.Scan(&c.Key, &c.By, &c.At)
		return c, err
	}, `
		SELECT key, confirmed_by, created_at
		FROM confirmations
		WHERE workshop_id = $1
		ORDER BY created_at, key`, r.workshop)
}

// AddConfirmations confirms settings for the transaction's actor. Those confirmed before stay as
// they are.
func (tx *Tx) AddConfirmations(ctx context.Context, keys []domain.AssumptionKey) error {
	return tx.exec(ctx, `
		INSERT INTO confirmations (workshop_id, key, confirmed_by, created_at)
		SELECT @workshop_id, key, @confirmed_by, @created_at
		FROM unnest(@keys::text[]) AS key
		ON CONFLICT DO NOTHING`,
		pgx.StrictNamedArgs{
			"workshop_id": tx.workshop, "keys": keys, "confirmed_by": tx.actor.User,
			"created_at": tx.now,
		})
}
