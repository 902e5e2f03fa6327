package app

import (
	"context"
	"errors"

	"bentside/api/postgres"
)

// errDryRun rolls a dry run back.
var errDryRun = errors.New("a dry run keeps nothing")

// unlessDry runs a step, and keeps nothing of it in a dry run: so a dry run does exactly what the
// real one does, and its report is that of the real one.
func unlessDry(ctx context.Context, tx *postgres.Tx, dry bool, step func() error) error {
	err := tx.Savepoint(ctx, func() error {
		if err := step(); err != nil || !dry {
			return err
		}
		return errDryRun
	})
	if errors.Is(err, errDryRun) {
		return nil
	}
	return err
}
