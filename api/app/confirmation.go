package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
)

// Confirm records that settings are right as they are, and returns all that are confirmed.
func (a *App) Confirm(
	ctx context.Context, actor Actor, keys []domain.AssumptionKey,
) ([]domain.Confirmation, error) {
	var list []domain.Confirmation
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		if err := domain.CheckConfirmed(keys); err != nil {
			return err
		}
		if err := tx.AddConfirmations(ctx, keys); err != nil {
			return err
		}
		tx.Note(domain.WorkshopConfirmed, actor.Workshop, map[string]any{"keys": keys})
		var err error
		list, err = tx.Confirmations(ctx)
		return err
	})
	return list, err
}
