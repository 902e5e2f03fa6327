package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// AgreeLimit records how much a client lets us spend on variations without asking.
func (a *App) AgreeLimit(
	ctx context.Context, actor Actor, j uuid.UUID, l job.SpendingLimit,
) (job.SpendingLimit, error) {
	_, err := a.changeJob(ctx, actor, domain.WriteJobs, j, func(c jobChange) error {
		if _, err := c.job.State.After(job.CommandChange); err != nil {
			return err
		}
		i, err := c.tx.Instrument(ctx, c.job.Instrument)
		if err != nil {
			return err
		}
		if i.Value.Owner != instrument.Client {
			return domain.Refuse(
				domain.Conflict, "the instrument isn't a client's, so no limit can be agreed",
			)
		}
		l.ID, l.At = newID(l.ID), c.tx.Now()
		if err := l.Check(i.Value.Party, c.today); err != nil {
			return err
		}
		c.tx.Note(domain.JobLimitAgreed, j, noted{
			"instrument": c.job.Instrument, "limit": l.Limit, "party": l.Party, "agreed_on": l.AgreedOn,
		})
		return c.tx.AddSpendingLimit(ctx, j, l)
	})
	return l, err
}

// withSpendingLimit compares a proposal with what the client lets us spend without asking.
func withSpendingLimit(
	ctx context.Context, r postgres.Reader, p job.Proposal,
) (ShownProposal, error) {
	shown := ShownProposal{Proposal: p}
	if p.Price == nil {
		return shown, nil
	}
	limits, err := r.SpendingLimits(ctx, p.Job, postgres.Whole)
	if err != nil {
		return shown, err
	}
	all, err := r.Proposals(ctx, p.Job, postgres.Whole)
	if err != nil {
		return shown, err
	}
	if n := len(limits); n > 0 {
		shown.Allowance.Limit = &limits[n-1].Limit
	}
	shown.Allowance.Spent = job.AcceptedWithoutConsent(p.Price.Currency(), all)
	shown.NeedsConsent = p.Decision == nil && p.NeedsConsent(shown.Allowance)
	return shown, nil
}
