package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/sale"
)

// AskForInstrument records what is asked for an instrument of ours from a day on, or that it is no
// longer offered for sale.
func (a *App) AskForInstrument(
	ctx context.Context, actor Actor, p sale.ShowroomPrice,
) (sale.ShowroomPrice, error) {
	err := a.write(ctx, actor, domain.WriteShowroom, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, p.Instrument); err != nil {
			return err
		}
		s, err := a.saleStands(ctx, tx, p.Instrument, p.On)
		if err != nil {
			return err
		}
		before, err := tx.ShowroomPrice(ctx, p.Instrument)
		if err != nil {
			return err
		}
		asked := sale.StillAsked(s.Instrument, before, s.Sales, s.Consignments)
		if p, err = p.Ask(s, asked != nil); err != nil {
			return err
		}
		p.ID, p.RecordedBy, p.RecordedAt = newID(p.ID), tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentPriced, p.Instrument, showroomNoted(p))
		return tx.AddShowroomPrice(ctx, p)
	})
	return p, err
}

// showroomNoted returns what the feed says of what is asked for an instrument.
func showroomNoted(p sale.ShowroomPrice) noted {
	n := noted{"showroom_price": p.ID, "on": p.On}
	if p.Price != nil {
		n["price"] = *p.Price
	}
	return n.text("why", p.Note)
}
