package app

import (
	"context"

	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// JobBasis is what a job rests on: the client's yes, or the old records it was taken over from.
type JobBasis struct {
	Quotation uuid.UUID        // whose accepted option the job is; zero: none
	Consent   *job.WorkConsent // nil: none was recorded
	Opening   *Opening         // nil: the job wasn't taken over
}

// Opening is what old records say of a job that was taken over; nil: not recorded.
type Opening struct {
	OriginalPrice *money.Amount // of the instrument
	CostSoFar     *money.Amount
	Deposit       *money.Amount // of the client
}

// JobBasis returns what a job rests on.
func (a *App) JobBasis(ctx context.Context, actor Actor, j job.Job) (JobBasis, error) {
	r := a.Read(ctx, actor)
	var b JobBasis
	var err error
	if b.Quotation, err = r.QuotationOfJob(ctx, j.Scope); err != nil {
		return b, err
	}
	if b.Consent, err = r.JobConsent(ctx, j.ID); err != nil {
		return b, err
	}
	o, taken, err := r.Opening(ctx, j.ID)
	if err != nil || !taken {
		return b, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return b, err
	}
	currency, err := money.ParseCurrency(w.Value.Terms.Currency)
	if err != nil {
		return b, err
	}
	b.Opening = &Opening{
		OriginalPrice: amountOf(o.OriginalPrice, currency),
		CostSoFar:     amountOf(o.CostSoFar, currency),
		Deposit:       amountOf(o.Deposit, currency),
	}
	return b, nil
}

// amountOf converts minor units to an amount; nil stays nil.
func amountOf(minor *int64, c money.Currency) *money.Amount {
	if minor == nil {
		return nil
	}
	a := money.FromMinor(*minor, c)
	return &a
}
