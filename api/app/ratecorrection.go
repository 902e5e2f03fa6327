package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// ShownRateCorrection is a correction of rates with the lines of cost that it posted.
type ShownRateCorrection struct {
	cost.RateCorrection
	Lines []cost.Line
}

// CorrectRates costs the posted hours of some days anew, by the rates as they are now, and posts
// the difference of each job.
func (a *App) CorrectRates(
	ctx context.Context, actor Actor, c cost.RateCorrection,
) (ShownRateCorrection, error) {
	var made ShownRateCorrection
	err := a.enter(ctx, actor, domain.WriteCosts, func(tx *postgres.Tx) error {
		w, currency, today, err := workshopToday(ctx, tx)
		if err != nil {
			return err
		}
		if err := c.Check(today); err != nil {
			return err
		}
		jobs, err := tx.ChargedJobs(ctx, c.From, c.Through)
		if err != nil {
			return err
		}
		for _, id := range jobs {
			if _, err := tx.LockJob(ctx, id); err != nil {
				return err
			}
		}
		charged, err := tx.Charged(ctx, c.From, c.Through, jobs)
		if err != nil {
			return err
		}
		c.ID, c.RecordedBy, c.RecordedAt = newID(c.ID), actor.User, tx.Now()
		made, err = a.correctRates(ctx, tx, c, charged, coster{
			reader: tx.Reader, rates: newRatesAt(tx.Reader, w), currency: currency,
			tasks: map[uuid.UUID]worked{},
		})
		return err
	})
	return made, err
}

// correctRates stores and posts a correction of what is charged on jobs that are locked.
func (a *App) correctRates(
	ctx context.Context, tx *postgres.Tx, c cost.RateCorrection, charged []cost.Charged, in coster,
) (made ShownRateCorrection, err error) {
	b, err := booksNow(ctx, tx)
	if err != nil {
		return made, err
	}
	made.RateCorrection, made.Lines, err = c.Correct(charged, func(
		x cost.Charged,
	) (none decimal.Decimal, err error) {
		j, err := a.taskLines(ctx, in, x.Job)
		if err != nil {
			return none, err
		}
		rates, err := in.rates.on(ctx, x.On)
		return rates.OfKind(x.Kind, j.lines[x.Operation].Skill), err
	}, b, in.currency)
	if err != nil {
		return made, err
	}
	sum := money.Zero(in.currency)
	for _, x := range made.Changes {
		sum = sum.Add(x.Amount)
	}
	tx.Note(domain.RatesCorrected, c.ID, noted{
		"from": c.From, "through": c.Through, "why": c.Why, "entries": len(made.Changes), "amount": sum,
	})
	if err := tx.AddRateCorrection(ctx, made.RateCorrection); err != nil {
		return made, err
	}
	return made, post(ctx, tx, made.Lines)
}

// RateCorrection returns a correction with what it changed and posted.
func (a *App) RateCorrection(
	ctx context.Context, actor Actor, id uuid.UUID,
) (made ShownRateCorrection, err error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return made, err
	}
	r := a.Read(ctx, actor)
	if made.RateCorrection, err = r.RateCorrection(ctx, id); err != nil {
		return made, err
	}
	made.Lines, err = r.CostOfSource(ctx, id)
	return made, err
}
