package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Promise records a date that was promised to somebody. It also returns a warning if the work is
// planned to be ready only later; there is none if the work can't be dated.
func (a *App) Promise(ctx context.Context, actor Actor, p job.Promise) (
	_ job.Promise, warning string, err error,
) {
	dates, err := a.JobDates(ctx, actor, p.Job)
	switch {
	case err == nil:
		warning = p.Warning(domain.DateOf(dates.Ready))
	case !final(err): // not because the work can't be dated
		return p, "", err
	}
	_, err = a.changeJob(ctx, actor, domain.WriteJobs, p.Job, func(c jobChange) error {
		if _, err := c.job.State.After(job.CommandChange); err != nil {
			return err
		}
		p.ID, p.PromisedBy, p.RecordedAt = newID(p.ID), actor.User, c.tx.Now()
		if p.PromisedOn.IsZero() {
			p.PromisedOn = c.today
		}
		if err := p.Check(c.today); err != nil {
			return err
		}
		c.tx.Note(domain.PromiseMade, p.Job, promiseNoted(c.job.Instrument, p))
		return c.tx.AddPromise(ctx, p)
	})
	return p, warning, err
}

// EndPromise records the outcome of a promise. It is allowed after the job was closed, since it
// doesn't change the job.
func (a *App) EndPromise(
	ctx context.Context, actor Actor, j, promise uuid.UUID, o job.PromiseOutcome,
) (job.Promise, error) {
	var ended job.Promise
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		p, err := tx.Reader.Promise(ctx, j, promise)
		if err != nil {
			return err
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		o.By, o.At = actor.User, tx.Now()
		if ended, err = p.End(o, day); err != nil {
			return err
		}
		of, err := tx.Reader.Job(ctx, j)
		if err != nil {
			return err
		}
		tx.Note(domain.PromiseEnded, j, noted{
			"instrument": of.Value.Instrument, "promise": promise, "due": ended.Due, "on": o.On,
			"as": ended.State(day),
		}.id("party", ended.Party).text("why", o.Why))
		return tx.AddPromiseOutcome(ctx, promise, o)
	})
	return ended, err
}

// Today returns the date in the workshop's time zone.
func (a *App) Today(ctx context.Context, actor Actor) (domain.Date, error) {
	w, err := a.Read(ctx, actor).Workshop(ctx)
	if err != nil {
		return domain.Date{}, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return domain.Date{}, err
	}
	return domain.DateOf(a.now().In(zone)), nil
}
