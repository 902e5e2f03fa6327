package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
)

// AddInstrument records an instrument.
func (a *App) AddInstrument(ctx context.Context, actor Actor, i domain.Instrument) (Versioned[domain.Instrument], error) {
	var made Versioned[domain.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i.ID = newID(i.ID)
		if err := i.Check(); err != nil {
			return err
		}
		i.State = domain.FirstState(i.Owner)
		made = first(i, tx)
		tx.Note("instrument.added", i.ID, map[string]any{"kind": i.Kind, "owner": i.Owner})
		return tx.AddInstrument(ctx, i)
	})
	return made, err
}

// ChangeInstrument replaces an instrument at the version that was read.
func (a *App) ChangeInstrument(ctx context.Context, actor Actor, i domain.Instrument, version int64) (Versioned[domain.Instrument], error) {
	var now Versioned[domain.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		old, err := tx.Instrument(ctx, i.ID)
		if err != nil {
			return err
		}
		if err := i.Check(); err != nil {
			return err
		}
		i.Measured, i.Scale = old.Value.Measured, old.Value.Scale
		if err := i.CheckAgainstMeasured(); err != nil {
			return err
		}
		if i.State = old.Value.State; i.Owner != old.Value.Owner && i.State == domain.FirstState(old.Value.Owner) {
			i.State = domain.FirstState(i.Owner)
		}
		now = Versioned[domain.Instrument]{Value: i, Version: version + 1, CreatedAt: old.CreatedAt}
		tx.Note("instrument.changed", i.ID, map[string]any{"version": version + 1})
		return tx.SaveInstrument(ctx, i, version)
	})
	return now, err
}
