package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/sale"
)

// AddInstrument records an instrument.
func (a *App) AddInstrument(
	ctx context.Context, actor Actor, i instrument.Instrument,
) (Versioned[instrument.Instrument], error) {
	var made Versioned[instrument.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		i.ID = newID(i.ID)
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := i.Check(day.Year); err != nil {
			return err
		}
		i.State = instrument.FirstState(i.Owner)
		made = created(i, tx)
		tx.Note(domain.InstrumentAdded, i.ID, instrumentNoted(i, 1))
		return tx.AddInstrument(ctx, i)
	})
	return made, err
}

// ChangeInstrument replaces an instrument, at the version that was read. Measurements, scale and
// state are kept; an instrument in its first state moves to the first state of a new owner. The
// kind can't change once work hangs on it.
func (a *App) ChangeInstrument(
	ctx context.Context, actor Actor, i instrument.Instrument, version int64,
) (Versioned[instrument.Instrument], error) {
	var now Versioned[instrument.Instrument]
	err := a.write(ctx, actor, domain.WriteInstruments, func(tx *postgres.Tx) error {
		// The state is kept, and moving it doesn't change the version.
		if err := tx.LockInstrument(ctx, i.ID); err != nil {
			return err
		}
		old, err := tx.Instrument(ctx, i.ID)
		if err != nil {
			return err
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := i.Check(day.Year); err != nil {
			return err
		}
		if i.Kind != old.Value.Kind {
			hanging, err := tx.Dependants(ctx, i.ID)
			if err != nil {
				return err
			}
			if err := instrument.CheckKind(old.Value, i, hanging); err != nil {
				return err
			}
		}
		i.Measured, i.Scale = old.Value.Measured, old.Value.Scale
		if err := i.CheckAgainstMeasured(); err != nil {
			return err
		}
		if i.State = old.Value.State; i.Owner != old.Value.Owner &&
			i.State == instrument.FirstState(old.Value.Owner) {
			i.State = instrument.FirstState(i.Owner)
		}
		if err := a.mayChangeHands(ctx, tx, old.Value, i); err != nil {
			return err
		}
		now = Versioned[instrument.Instrument]{
			Value: i, Version: version + 1, CreatedAt: old.CreatedAt,
		}
		tx.Note(domain.InstrumentChanged, i.ID, instrumentNoted(i, version+1))
		return tx.SaveInstrument(ctx, i, version)
	})
	return now, err
}

// mayChangeHands refuses to give a client's instrument to somebody else under its open job, to hand
// over or take back by correcting its record what was sold, or to give that another number, to make
// an instrument ours so while something bars its purchase, and to correct away what stops it for a
// role that may not.
func (a *App) mayChangeHands(
	ctx context.Context, tx *postgres.Tx, was, is instrument.Instrument,
) error {
	jobs, err := tx.JobsOn(ctx, was.ID)
	if err != nil {
		return err
	}
	if err := job.CheckKeepsHands(values(jobs), was, is); err != nil {
		return err
	}
	sales, err := tx.Sales(ctx, was.ID, postgres.Whole)
	if err != nil {
		return err
	}
	if err := sale.CheckKeepsHands(sales, was, is); err != nil {
		return err
	}
	if err := sale.CheckKeepsNumber(sales, was, is); err != nil {
		return err
	}
	consigned, err := tx.Consignments(ctx, was.ID, postgres.Whole)
	if err != nil {
		return err
	}
	if err := sale.CheckStaysConsigned(consigned, sales, was, is); err != nil {
		return err
	}
	w, err := tx.Workshop(ctx)
	if err != nil {
		return err
	}
	stops, err := a.stopsOf(ctx, tx.Reader, was, w.Value)
	if err != nil {
		return err
	}
	after, err := a.stopsOf(ctx, tx.Reader, is, w.Value)
	if err != nil {
		return err
	}
	if err := stops.MayFree(after, tx.Actor().Role); err != nil {
		return err
	}
	if was.Owner != instrument.Offered || is.Owner != instrument.Stock {
		return nil
	}
	return stops.Permit("the instrument can't become ours", catalogue.ToBuy)
}
