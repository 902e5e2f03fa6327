package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
)

// RecordOffer adds a step to the talk about a bid. A step that ends it moves the
// instrument: bought, it is ours under its stock number; taken in, it is in our
// care; lost, it is let go. A step without a day is of today.
func (a *App) RecordOffer(ctx context.Context, actor Actor, o domain.Offer) (postgres.Offer, error) {
	var made postgres.Offer
	err := a.write(ctx, actor, domain.WriteBids, func(tx *postgres.Tx) error {
		b, err := tx.Bid(ctx, o.Bid)
		if err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, b.Instrument); err != nil {
			return err
		}
		w, err := a.withDocuments(ctx, tx.Reader, b)
		if err != nil {
			return err
		}
		step, err := checkedOffer(ctx, tx, o, w)
		if err != nil {
			return err
		}
		made = postgres.Offer{Offer: step, Instrument: b.Instrument, Currency: w.Inputs.Workshop.Terms.Currency, CreatedAt: tx.Now()}
		if err := tx.AddOffer(ctx, made); err != nil {
			return err
		}
		tx.Note("offer."+string(step.Kind), b.Instrument, map[string]any{"bid": b.ID, "offer": step.ID})
		return afterOffer(ctx, tx, made)
	})
	return made, err
}

// checkedOffer completes a step and tests it against its bid and the talk so
// far.
func checkedOffer(ctx context.Context, tx *postgres.Tx, o domain.Offer, w WorkedBid) (domain.Offer, error) {
	zone, err := zoneOf(w.Inputs.Workshop)
	if err != nil {
		return o, err
	}
	today := domain.DateOf(tx.Now().In(zone))
	o.ID, o.By = newID(o.ID), tx.Actor().User
	if o.On == (domain.Date{}) {
		o.On = today
	}
	if o.Depth == "" && len(w.Result.Ways) == 1 {
		o.Depth = w.Result.Ways[0].Depth
	}
	ends, err := tx.EndOfTalk(ctx, o.Bid)
	if err != nil {
		return o, err
	}
	before := make([]domain.Offer, len(ends))
	for i, e := range ends {
		before[i] = e.Offer
	}
	return o, domain.CheckOffer(o, w.Inputs, w.Result, before, today)
}

// afterOffer moves the instrument as the step asks.
func afterOffer(ctx context.Context, tx *postgres.Tx, o postgres.Offer) error {
	i, err := tx.Instrument(ctx, o.Instrument)
	if err != nil {
		return err
	}
	now, changed := i.Value.AfterOffer(o.Offer)
	switch {
	case !changed:
		return nil
	case i.Value.Owner != domain.Offered:
		return domain.Refuse(domain.Conflict, "the instrument is no longer on offer: it is %s", i.Value.Owner)
	case o.Kind == domain.Lost:
		return tx.MoveInstrument(ctx, o.Instrument, now.State)
	}
	if err := freeStockNumber(ctx, tx, now); err != nil {
		return err
	}
	tx.Note("instrument.changed", o.Instrument, map[string]any{"version": i.Version + 1})
	return tx.SaveInstrument(ctx, now, i.Version)
}

// freeStockNumber refuses the stock number of another instrument, by name.
func freeStockNumber(ctx context.Context, tx *postgres.Tx, i domain.Instrument) error {
	if i.StockNumber == "" {
		return nil
	}
	holders, err := tx.WithStockNumber(ctx, i.StockNumber)
	if err != nil {
		return err
	}
	for _, h := range holders {
		if h.Value.ID != i.ID {
			return domain.Refuse(domain.Conflict, "the stock number %s is that of the %s %s %s", i.StockNumber, h.Value.Maker, h.Value.Model, h.Value.Serial)
		}
	}
	return nil
}
