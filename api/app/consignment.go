package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// Consign records on what terms we sell an instrument for its owner.
func (a *App) Consign(
	ctx context.Context, actor Actor, c sale.Consignment,
) (sale.Consignment, error) {
	err := a.write(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, c.Instrument); err != nil {
			return err
		}
		s, err := a.saleStands(ctx, tx, c.Instrument, c.On)
		if err != nil {
			return err
		}
		if c, err = c.Consign(s); err != nil {
			return err
		}
		c.ID, c.RecordedBy, c.RecordedAt = newID(c.ID), tx.Actor().User, tx.Now()
		n := noted{
			"consignment": c.ID, "consignor": c.Owner, "commission_share": c.Share,
			"least_commission": c.Least, "borne": c.Borne, "on": c.On,
		}
		if c.LeastPrice != nil {
			n["least_price"] = *c.LeastPrice
		}
		tx.Note(domain.InstrumentConsigned, c.Instrument,
			n.text("reference", c.Reference).text("why", c.Note))
		return tx.AddConsignment(ctx, c)
	})
	return c, err
}

// EndConsignment records that an instrument is no longer ours to sell for its owner.
func (a *App) EndConsignment(
	ctx context.Context, actor Actor, id uuid.UUID, e sale.ConsignmentEnd,
) (sale.Consignment, error) {
	var made sale.Consignment
	err := a.enter(ctx, actor, domain.WriteSales, func(tx *postgres.Tx) error {
		c, err := tx.Consignment(ctx, id)
		if err != nil {
			return err
		}
		if err := tx.LockInstrument(ctx, c.Instrument); err != nil {
			return err
		}
		if c, err = tx.Consignment(ctx, id); err != nil { // as it is under the lock
			return err
		}
		s, err := a.postingStands(ctx, tx, c.Instrument, e.On)
		if err != nil {
			return err
		}
		e, state, err := e.Finish(c, s)
		if err != nil {
			return err
		}
		e.RecordedBy, e.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentUnconsigned, c.Instrument, noted{
			"consignment": c.ID, "stays": e.Stays, "on": e.On, "posted_on": e.PostedOn,
			"instrument_state": state, "why": e.Note,
		})
		if err := tx.AddConsignmentEnd(ctx, id, e); err != nil {
			return err
		}
		if err := tx.MoveInstrument(ctx, c.Instrument, state); err != nil {
			return err
		}
		made, err = tx.Consignment(ctx, id)
		return err
	})
	return made, err
}
