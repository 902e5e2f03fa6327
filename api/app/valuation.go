package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/sale"

	"github.com/google/uuid"
)

// ValueInstrument records what an instrument of ours is worth. It stands at the lower of that and
// its cost from then on.
func (a *App) ValueInstrument(
	ctx context.Context, actor Actor, v sale.Valuation,
) (sale.Valuation, error) {
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, v.Instrument); err != nil {
			return err
		}
		s, err := a.postingStands(ctx, tx, v.Instrument, v.On)
		if err != nil {
			return err
		}
		f, err := saleFile(ctx, tx.Reader, v.Instrument, s.Currency)
		if err != nil {
			return err
		}
		if v, err = v.Value(s, f); err != nil {
			return err
		}
		v, err = recordValuation(ctx, tx, v)
		return err
	})
	return v, err
}

// ValuationsOf returns a page of the valuations of an instrument with what its account counts of
// them now.
func (a *App) ValuationsOf(
	ctx context.Context, actor Actor, id uuid.UUID, p postgres.Page,
) ([]sale.Look, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return nil, err
	}
	r := a.Read(ctx, actor)
	if _, err := r.Instrument(ctx, id); err != nil {
		return nil, err
	}
	account, err := accountOf(ctx, r, id)
	if err != nil {
		return nil, err
	}
	page, err := r.Valuations(ctx, id, p)
	list := make([]sale.Look, 0, len(page))
	for _, v := range page {
		if v.Number <= len(account.Looks) {
			list = append(list, account.Looks[v.Number-1])
		}
	}
	return list, err
}

// recordLook numbers and records a valuation that comes or goes with an opening.
func recordLook(ctx context.Context, tx *postgres.Tx, v sale.Valuation) (err error) {
	if v.Number, v.Returns, err = tx.NextValuation(ctx, v.Instrument); err != nil {
		return err
	}
	_, err = recordValuation(ctx, tx, v)
	return err
}

// recordValuation stores a valuation of an instrument that is locked, and tells of it.
func recordValuation(
	ctx context.Context, tx *postgres.Tx, v sale.Valuation,
) (sale.Valuation, error) {
	v.ID, v.RecordedBy, v.RecordedAt = newID(v.ID), tx.Actor().User, tx.Now()
	tx.Note(domain.InstrumentValued, v.Instrument, noted{
		"valuation": v.ID, "number": v.Number, "realisable": v.Realisable(), "carrying": v.Now,
		"written_down": v.WrittenDown(), "on": v.On, "posted_on": v.PostedOn, "why": v.Note,
	})
	return v, tx.AddValuation(ctx, v)
}

// WriteOffInstrument records that an instrument of ours is gone without a sale.
func (a *App) WriteOffInstrument(
	ctx context.Context, actor Actor, l sale.Loss,
) (sale.Loss, error) {
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, l.Instrument); err != nil {
			return err
		}
		s, err := a.postingStands(ctx, tx, l.Instrument, l.On)
		if err != nil {
			return err
		}
		f, err := saleFile(ctx, tx.Reader, l.Instrument, s.Currency)
		if err != nil {
			return err
		}
		if l, err = l.Write(s, f); err != nil {
			return err
		}
		l.RecordedBy, l.RecordedAt = tx.Actor().User, tx.Now()
		tx.Note(domain.InstrumentLost, l.Instrument, noted{
			"how": l.Kind, "written_down": l.Carrying, "on": l.On, "posted_on": l.PostedOn,
			"instrument_state": instrument.Gone, "why": l.Note,
		})
		if err := tx.AddLoss(ctx, l); err != nil {
			return err
		}
		return tx.MoveInstrument(ctx, l.Instrument, instrument.Gone)
	})
	return l, err
}
