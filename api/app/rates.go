package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
)

// SetRates adds a version of what an hour costs. It holds for hours that are approved from now on;
// what was posted stays.
func (a *App) SetRates(ctx context.Context, actor Actor, v cost.Rates) (cost.Rates, error) {
	err := a.write(ctx, actor, domain.WriteSettings, func(tx *postgres.Tx) error {
		_, c, today, err := workshopToday(ctx, tx)
		if err != nil {
			return err
		}
		var wrong error
		v, wrong = v.Predetermine(c)
		if err := domain.JoinFaults(wrong, v.Check(today)); err != nil {
			return err
		}
		v.ID, v.RecordedBy, v.RecordedAt = newID(v.ID), actor.User, tx.Now()
		tx.Note(domain.RatesSet, v.ID, noted{
			"from": v.From, "labour": v.Labour, "overhead": v.Overhead,
		})
		return tx.AddRates(ctx, v)
	})
	return v, err
}

// RatesOn returns what an hour costs on a day, today where none is given.
func (a *App) RatesOn(ctx context.Context, actor Actor, day domain.Date) (cost.Rates, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return cost.Rates{}, err
	}
	r := a.Read(ctx, actor)
	w, err := r.Workshop(ctx)
	if err != nil {
		return cost.Rates{}, err
	}
	if day.IsZero() {
		zone, err := zoneOf(w.Value)
		if err != nil {
			return cost.Rates{}, err
		}
		day = domain.DateOf(a.now().In(zone))
	}
	return newRatesAt(r, w.Value).on(ctx, day)
}
