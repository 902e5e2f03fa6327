package app

import (
	"context"
	"maps"
	"slices"

	"bentside/api/postgres"

	"github.com/google/uuid"
)

// byID returns ids in the order in which rows are locked.
func byID(ids map[uuid.UUID]bool) []uuid.UUID {
	return slices.SortedFunc(maps.Keys(ids), func(a, b uuid.UUID) int {
		return slices.Compare(a[:], b[:])
	})
}

func lockParts(ctx context.Context, tx *postgres.Tx, parts map[uuid.UUID]bool) error {
	for _, id := range byID(parts) {
		if _, err := tx.LockStock(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

func lockJobs(ctx context.Context, tx *postgres.Tx, jobs map[uuid.UUID]bool) error {
	for _, id := range byID(jobs) {
		if _, err := tx.LockJob(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

func lockInstruments(ctx context.Context, tx *postgres.Tx, ids map[uuid.UUID]bool) error {
	for _, id := range byID(ids) {
		if err := tx.LockInstrument(ctx, id); err != nil {
			return err
		}
	}
	return nil
}
