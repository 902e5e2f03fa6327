package app

import (
	"context"
	"errors"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// lockForSale locks what is sold and what is taken in part payment.
func lockForSale(ctx context.Context, tx *postgres.Tx, x sale.Sale) error {
	ids := map[uuid.UUID]bool{x.Instrument: true}
	if x.Exchange != nil {
		ids[x.Exchange.Instrument] = true
	}
	return lockInstruments(ctx, tx, ids)
}

// takeIn makes the instrument ours that is taken in part payment for a sale, and records its
// purchase; nothing where none is.
func (a *App) takeIn(ctx context.Context, tx *postgres.Tx, x sale.Sale) error {
	e := x.Exchange
	if e == nil {
		return nil
	}
	was, err := tx.Instrument(ctx, e.Instrument)
	if err != nil {
		return unknown(err, "#/part_exchange/instrument", "no instrument found with this id")
	}
	agreed, err := tx.BoughtFor(ctx, e.Instrument)
	if err != nil {
		return err
	}
	before, err := tx.StandingDocuments(ctx, e.Instrument, cost.Purchased)
	if err != nil {
		return err
	}
	now, p, err := e.TakeIn(x, was.Value, agreed, len(before) > 0)
	if err != nil {
		return err
	}
	if agreed == nil {
		if err := a.mayTakeIn(ctx, tx, was.Value, x.On); err != nil {
			return err
		}
	}
	if err := a.mayChangeHands(ctx, tx, was.Value, now); err != nil {
		return err
	}
	if err := checkStockNumber(ctx, tx, now); err != nil {
		return err
	}
	if err := changeHands(ctx, tx, now); err != nil {
		return err
	}
	s, err := standsFor(ctx, tx, p.Document)
	if err != nil {
		return err
	}
	d, lines, err := p.Buy(s, agreed, false)
	if err != nil {
		return err
	}
	if _, err := recordCost(ctx, tx, d, lines); err != nil {
		return err
	}
	return tx.AddExchange(ctx, x.ID, *e)
}

// mayTakeIn refuses to take an instrument in whose purchase is barred on the day of the sale. Where
// an offer has bought it, that was asked of the offer.
func (a *App) mayTakeIn(
	ctx context.Context, tx *postgres.Tx, i instrument.Instrument, on domain.Date,
) error {
	w, err := tx.Workshop(ctx)
	if err != nil {
		return err
	}
	jobs, err := tx.JobsOn(ctx, i.ID)
	if err != nil {
		return err
	}
	stops, err := a.stopsAfter(ctx, tx.Reader, i, w.Value, on, values(jobs))
	if err != nil {
		return err
	}
	err = stops.Permit("the instrument can't be taken in", catalogue.ToBuy)
	var f *domain.Fault
	if errors.As(err, &f) {
		f.Fields = []domain.FieldFault{{Pointer: "#/part_exchange/instrument", Detail: f.Detail}}
	}
	return err
}
