package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// Promise records a date that was given to somebody.
func (a *App) Promise(ctx context.Context, actor Actor, p domain.Promise) (domain.Promise, error) {
	_, err := a.changeJob(ctx, actor, domain.WriteJobs, p.Job, func(c jobChange) error {
		if _, err := c.job.State.After(domain.ChangeJob); err != nil {
			return err
		}
		p.ID, p.PromisedBy, p.RecordedAt = newID(p.ID), actor.User, c.tx.Now()
		if p.PromisedOn.IsZero() {
			p.PromisedOn = c.today
		}
		if err := p.Check(c.today); err != nil {
			return err
		}
		c.tx.Note("promise.made", p.Job, map[string]any{"promise": p.ID, "due": p.Due})
		return c.tx.AddPromise(ctx, p)
	})
	return p, err
}

// EndPromise records what became of a promise. It may come after the job was
// closed: it is no change of the job.
func (a *App) EndPromise(ctx context.Context, actor Actor, job, promise uuid.UUID, o domain.PromiseOutcome) (domain.Promise, error) {
	var ended domain.Promise
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		p, err := tx.Reader.Promise(ctx, job, promise)
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
		tx.Note("promise.ended", job, map[string]any{"promise": promise, "as": ended.State(day)})
		return tx.AddPromiseOutcome(ctx, promise, o)
	})
	return ended, err
}

// Today is the day in the workshop.
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
