package app

import (
	"context"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/hours"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Baseline returns what was planned for a job when it was accepted.
func (a *App) Baseline(ctx context.Context, actor Actor, j uuid.UUID) (job.Baseline, error) {
	r := a.Read(ctx, actor)
	if _, err := r.Job(ctx, j); err != nil {
		return job.Baseline{}, err
	}
	body, err := r.Baseline(ctx, j)
	if err != nil {
		return job.Baseline{}, err
	}
	return job.ParseBaseline(body)
}

// changeJob locks a job, applies change, and returns the job as it is then.
func (a *App) changeJob(
	ctx context.Context, actor Actor, act domain.Permission, id uuid.UUID,
	change func(jobChange) error,
) (Versioned[job.Job], error) {
	var now Versioned[job.Job]
	err := a.write(ctx, actor, act, func(tx *postgres.Tx) (err error) {
		now, err = changeIn(ctx, tx, id, change)
		return err
	})
	return now, err
}

// changeIn is changeJob in a transaction that has begun.
func changeIn(
	ctx context.Context, tx *postgres.Tx, id uuid.UUID, change func(jobChange) error,
) (Versioned[job.Job], error) {
	j, err := lockForChange(ctx, tx, id)
	if err != nil {
		return Versioned[job.Job]{}, err
	}
	if err := change(j); err != nil {
		return Versioned[job.Job]{}, err
	}
	return tx.Reader.Job(ctx, id)
}

// jobChange is a locked job that is being changed, with today's date in the workshop.
type jobChange struct {
	tx      *postgres.Tx
	job     job.Job
	version int64
	today   domain.Date
}

// lockForChange locks a job.
func lockForChange(ctx context.Context, tx *postgres.Tx, id uuid.UUID) (jobChange, error) {
	j, err := tx.LockJob(ctx, id)
	if err != nil {
		return jobChange{}, err
	}
	today, err := today(ctx, tx)
	return jobChange{tx: tx, job: j.Value, version: j.Version, today: today}, err
}

// today returns the date in the workshop's time zone.
func today(ctx context.Context, tx *postgres.Tx) (domain.Date, error) {
	return dayIn(ctx, tx.Reader, tx.Now())
}

// dayIn returns the date of an instant in the workshop's time zone.
func dayIn(ctx context.Context, r postgres.Reader, at time.Time) (domain.Date, error) {
	w, err := r.Workshop(ctx)
	if err != nil {
		return domain.Date{}, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return domain.Date{}, err
	}
	return domain.DateOf(at.In(zone)), nil
}

// MoveJob moves a job, at the version that was read, to another place in the queue. The jobs
// between there and its old place move by one.
func (a *App) MoveJob(
	ctx context.Context, actor Actor, id uuid.UUID, place int, version int64,
) (Versioned[job.Job], error) {
	var now Versioned[job.Job]
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		if err := tx.LockQueue(ctx); err != nil { // before any job of it
			return err
		}
		j, err := tx.LockJob(ctx, id)
		if err != nil {
			return err
		}
		if _, err := j.Value.State.After(job.CommandChange); err != nil {
			return err
		}
		if err := tx.MoveJob(ctx, j.Value, place, version); err != nil {
			return err
		}
		if now, err = tx.Reader.Job(ctx, id); err != nil {
			return err
		}
		tx.Note(
			domain.JobMoved, id,
			noted{
				"instrument": j.Value.Instrument, "from": j.Value.QueuePlace, "to": now.Value.QueuePlace,
			},
		)
		return nil
	})
	return now, err
}

// RecordProgress records how far a task has come: hours left, and hours worked, if any, which
// become an entry of the person's. Progress without a date is for today. Whoever works on a task
// before its time says why.
func (a *App) RecordProgress(
	ctx context.Context, actor Actor, jobID uuid.UUID, p job.Progress,
) (Versioned[job.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteProgress, jobID, func(c jobChange) error {
		p.ID, p.RecordedBy, p.RecordedAt = newID(p.ID), actor.User, c.tx.Now()
		if p.On.IsZero() {
			p.On = c.today
		}
		j, of, err := a.withLines(ctx, c.tx.Reader, c.job)
		if err != nil {
			return err
		}
		e := hours.Entry{
			Person: p.Person, Job: jobID, Operation: p.Operation, On: p.On, Minutes: p.Minutes, Note: p.Note,
			Correction: p.Correction,
		}
		var checked error
		if p.Minutes > 0 {
			checked = a.checkHours(ctx, c.tx, &e, "#/hours")
			if checked != nil && !faultIs(checked, domain.Invalid) {
				return checked // as in keepHours
			}
			p.Person = e.Person
		}
		j, p, err = j.Book(of, p, c.today)
		if err := domain.JoinFaults(checked, err); err != nil {
			return err
		}
		c.tx.Note(domain.TaskProgressed, jobID, progressNoted(j, p))
		if err := c.tx.AddProgress(ctx, j, p, c.version); err != nil || p.Minutes == 0 {
			return err
		}
		c.tx.Note(domain.TaskWorked, jobID, labourNoted(j, e))
		return c.tx.AddTimeEntry(ctx, e)
	})
}

// withLines returns a job with its lines, what stops its instrument, and the catalogue that it
// pins.
func (a *App) withLines(
	ctx context.Context, r postgres.Reader, j job.Job,
) (job.Job, *catalogue.Catalogue, error) {
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return j, nil, err
	}
	if !j.HasLines() {
		drawn, err := a.draw(ctx, r, d.Value)
		return j.WithLines(drawn.Scope).StoppedBy(drawn.Stops), drawn.Catalogue, err
	}
	of, err := a.catalogueAt(ctx, r, d.Value.Revision)
	if err != nil {
		return j, nil, err
	}
	minds, err := j.MindsStops(of.Catalogue)
	if err != nil || !minds {
		return j, of.Catalogue, err
	}
	stops, err := a.stopsNow(ctx, r, j.Instrument)
	return j.StoppedBy(stops), of.Catalogue, err
}

// Suspend pauses a task or a whole job.
func (a *App) Suspend(
	ctx context.Context, actor Actor, jobID uuid.UUID, s job.Suspension,
) (Versioned[job.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteJobs, jobID, func(c jobChange) error {
		s.ID, s.Since = newID(s.ID), c.tx.Now()
		j, err := c.job.Suspend(s, c.today)
		if err != nil {
			return err
		}
		c.tx.Note(domain.JobSuspended, jobID, suspensionNoted(j, s))
		return c.tx.AddSuspension(ctx, j, s, c.version)
	})
}

// Resume ends a suspension.
func (a *App) Resume(
	ctx context.Context, actor Actor, jobID, suspension uuid.UUID, why string,
) (Versioned[job.Job], error) {
	return a.changeJob(ctx, actor, domain.WriteJobs, jobID, func(c jobChange) error {
		j, err := c.job.Resume(suspension)
		if err != nil {
			return err
		}
		c.tx.Note(domain.JobResumed, jobID, resumptionNoted(j, *c.job.Suspension(suspension), why))
		return c.tx.EndSuspension(ctx, j, suspension, why, c.version)
	})
}

// Closing says how a job ends.
type Closing struct {
	Outcome job.Outcome
	On      domain.Date
	Why     string
}

// CloseJob ends a job for good. If the instrument has no other open job, it moves to the state that
// the outcome leads to.
func (a *App) CloseJob(
	ctx context.Context, actor Actor, jb uuid.UUID, end Closing,
) (Versioned[job.Job], error) {
	var now Versioned[job.Job]
	err := a.enter(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) (err error) {
		now, err = changeIn(ctx, tx, jb, func(c jobChange) error { return closeJob(ctx, c, end) })
		return err
	})
	return now, err
}

// closeJob ends a job that is locked.
func closeJob(ctx context.Context, c jobChange, end Closing) error {
	b, err := booksNow(ctx, c.tx)
	if err != nil {
		return err
	}
	worked, err := c.tx.LastWorked(ctx, c.job.ID)
	if err != nil {
		return err
	}
	j, err := c.job.Close(end.Outcome, end.On, worked, c.today, end.Why)
	if err != nil {
		return err
	}
	posted := b.PostingDay(j.ClosedOn)
	if err := c.tx.CloseJob(ctx, j, posted, c.version); err != nil {
		return err
	}
	// Of two jobs that end at once, the second must see that the first has ended.
	if err := c.tx.LockInstrument(ctx, j.Instrument); err != nil {
		return err
	}
	others, err := c.tx.HasOpenJob(ctx, j.Instrument)
	if err != nil {
		return err
	}
	i, err := c.tx.Instrument(ctx, j.Instrument)
	if err != nil {
		return err
	}
	after, err := j.LeavesInstrument(i.Value, others)
	if err != nil {
		return err
	}
	done, left := j.Hours()
	c.tx.Note(domain.JobClosed, j.ID, noted{
		"instrument": j.Instrument, "scope": j.Scope, "outcome": j.Outcome, "on": j.ClosedOn,
		"posted_on":  posted,
		"hours_done": done, "hours_left": left, "instrument_state": after,
	}.text("why", end.Why))
	return c.tx.MoveInstrument(ctx, j.Instrument, after)
}
