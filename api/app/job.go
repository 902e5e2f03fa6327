package app

import (
	"context"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/pricing"

	"github.com/google/uuid"
)

// AcceptScope puts a scope under way as a job at the end of the queue, and keeps
// what was planned for it then. An acceptance of an earlier day is planned from
// that day on. Where the client accepted a quotation last, the scope must be the
// one of the accepted option, as it was quoted.
func (a *App) AcceptScope(ctx context.Context, actor Actor, id, scope uuid.UUID, on domain.Date) (Versioned[domain.Job], error) {
	var made Versioned[domain.Job]
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		drawn, version, e, err := a.drawnForGood(ctx, tx, scope)
		if err != nil {
			return err
		}
		if err := asAccepted(ctx, tx.Reader, drawn.Decision, version); err != nil {
			return err
		}
		zone, err := zoneOf(drawn.Workshop)
		if err != nil {
			return err
		}
		if err := domain.CheckAcceptance(on, domain.DateOf(tx.Now().In(zone))); err != nil {
			return err
		}
		j, err := domain.Accept(drawn.Catalogue, drawn.Scope, drawn.Instrument, on)
		if err != nil {
			return err
		}
		j.ID, j.Scope = newID(id), scope
		baseline, err := a.baselineOf(ctx, tx, j, drawn, e, zone)
		if err != nil {
			return err
		}
		hash, err := tx.KeepDocument(ctx, baseline.Canonical())
		if err != nil {
			return err
		}
		if err := tx.AddJob(ctx, j, &hash); err != nil {
			return err
		}
		if err := tx.MoveInstrument(ctx, j.Instrument, domain.InWork); err != nil {
			return err
		}
		tx.Note("job.accepted", j.ID, map[string]any{"instrument": j.Instrument, "scope": j.Scope, "tasks": len(j.Tasks)})
		made, err = tx.Reader.Job(ctx, j.ID)
		return err
	})
	return made, err
}

// drawnForGood draws and estimates a scope, and locks the queue so that nobody
// changes it any more. The work is done before the lock, which everybody who
// accepts waits for; a scope that was changed meanwhile is drawn again.
func (a *App) drawnForGood(ctx context.Context, tx *postgres.Tx, scope uuid.UUID) (drawn DrawnScope, version int64, e pricing.Estimate, err error) {
	for locked := false; ; locked = true {
		d, err := tx.Reader.Scope(ctx, scope)
		if err != nil || locked && d.Version == version {
			return drawn, version, e, err
		}
		if drawn, err = a.draw(ctx, tx.Reader, d.Value); err != nil {
			return drawn, version, e, err
		}
		version = d.Version
		e, err = domain.EstimateScope(drawn.Catalogue, drawn.Instrument, drawn.Judgements, drawn.Scope, drawn.Workshop.Terms)
		if err != nil || locked {
			return drawn, version, e, err
		}
		if err := tx.LockQueue(ctx); err != nil {
			return drawn, version, e, err
		}
	}
}

// asAccepted refuses a scope that is not what the client accepted last.
func asAccepted(ctx context.Context, r postgres.Reader, scope postgres.Decision, version int64) error {
	q, err := r.LastAccepted(ctx, scope.Instrument)
	if err != nil || q == nil {
		return err
	}
	return q.CheckJob(scope.ID, version)
}

// baselineOf plans a job that is being accepted behind those in the queue.
func (a *App) baselineOf(ctx context.Context, tx *postgres.Tx, j domain.Job, drawn DrawnScope, e pricing.Estimate, zone *time.Location) (domain.Baseline, error) {
	shop, err := a.shopNow(ctx, tx.Reader)
	if err != nil {
		return domain.Baseline{}, err
	}
	at := tx.Now().In(zone)
	if j.AcceptedOn != domain.DateOf(at) {
		at = j.AcceptedOn.In(zone)
	}
	b, err := domain.BaselineOf(drawn.Catalogue, j, e, shop.at(zone), at, shop.lefts())
	b.Revision = drawn.Revision
	return b, err
}

// Baseline is what was planned for a job when it was accepted.
func (a *App) Baseline(ctx context.Context, actor Actor, job uuid.UUID) (domain.Baseline, error) {
	r := a.Read(ctx, actor)
	if _, err := r.Job(ctx, job); err != nil {
		return domain.Baseline{}, err
	}
	body, err := r.Baseline(ctx, job)
	if err != nil {
		return domain.Baseline{}, err
	}
	return domain.ParseBaseline(body)
}

// changeJob loads a job under its lock, lets change it, and gives it back as it
// is then. What has happened is noted under the job.
func (a *App) changeJob(ctx context.Context, actor Actor, act domain.Act, id uuid.UUID, change func(jobChange) error) (Versioned[domain.Job], error) {
	var now Versioned[domain.Job]
	err := a.write(ctx, actor, act, func(tx *postgres.Tx) error {
		j, err := tx.LockJob(ctx, id)
		if err != nil {
			return err
		}
		today, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if err := change(jobChange{tx: tx, job: j.Value, version: j.Version, today: today}); err != nil {
			return err
		}
		now, err = tx.Reader.Job(ctx, id)
		return err
	})
	return now, err
}

// jobChange is a job under its lock, with the day in the workshop.
type jobChange struct {
	tx      *postgres.Tx
	job     domain.Job
	version int64
	today   domain.Date
}

// today is the day in the workshop's zone.
func today(ctx context.Context, tx *postgres.Tx) (domain.Date, error) {
	w, err := tx.Workshop(ctx)
	if err != nil {
		return domain.Date{}, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return domain.Date{}, err
	}
	return domain.DateOf(tx.Now().In(zone)), nil
}

// RecordProgress records how far a task has come: hours done so far and left.
// Without a day it holds for today.
func (a *App) RecordProgress(ctx context.Context, actor Actor, job uuid.UUID, p domain.Progress) (Versioned[domain.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteProgress, job, func(c jobChange) error {
		p.ID, p.RecordedBy, p.RecordedAt = newID(p.ID), actor.User, c.tx.Now()
		if p.On.IsZero() {
			p.On = c.today
		}
		j, err := c.job.Book(p, c.today)
		if err != nil {
			return err
		}
		c.tx.Note("task.progressed", job, map[string]any{"operation": p.Operation, "done": p.Done, "left": p.Left, "finished": p.Finished})
		return c.tx.AddProgress(ctx, j, p, c.version)
	})
}

// Suspend lets a task or a whole job rest.
func (a *App) Suspend(ctx context.Context, actor Actor, job uuid.UUID, s domain.Suspension) (Versioned[domain.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteJobs, job, func(c jobChange) error {
		s.ID, s.Since = newID(s.ID), c.tx.Now()
		j, err := c.job.Suspend(s, c.today)
		if err != nil {
			return err
		}
		c.tx.Note("job.suspended", job, map[string]any{"suspension": s.ID, "operation": s.Operation, "until": s.Until})
		return c.tx.AddSuspension(ctx, j, s, c.version)
	})
}

// Resume takes up what a suspension let rest.
func (a *App) Resume(ctx context.Context, actor Actor, job, suspension uuid.UUID, why string) (Versioned[domain.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteJobs, job, func(c jobChange) error {
		j, err := c.job.Resume(suspension)
		if err != nil {
			return err
		}
		c.tx.Note("job.resumed", job, map[string]any{"suspension": suspension})
		return c.tx.EndSuspension(ctx, j, suspension, why, c.version)
	})
}

// Closing is how a job is to end.
type Closing struct {
	Outcome domain.JobOutcome
	On      domain.Date
	Why     string
}

// CloseJob ends a job for good. Where no other job on the instrument is open, it
// stands where the outcome leaves it.
func (a *App) CloseJob(ctx context.Context, actor Actor, job uuid.UUID, end Closing) (Versioned[domain.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteJobs, job, func(c jobChange) error {
		j, err := c.job.Close(end.Outcome, end.On, c.today, end.Why)
		if err != nil {
			return err
		}
		c.tx.Note("job.closed", job, map[string]any{"outcome": end.Outcome, "on": end.On, "why": end.Why})
		if err := c.tx.CloseJob(ctx, j, c.version); err != nil {
			return err
		}
		others, err := c.tx.HasOpenJob(ctx, j.Instrument)
		if err != nil || others {
			return err
		}
		return c.tx.MoveInstrument(ctx, j.Instrument, domain.StateAfter(j.Outcome))
	})
}
