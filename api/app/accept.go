package app

import (
	"context"
	"reflect"
	"slices"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"

	"github.com/google/uuid"
)

// Acceptance says which scope becomes a job, and from which day on.
type Acceptance struct {
	ID    uuid.UUID // of the job; zero: a new one
	Scope uuid.UUID
	On    domain.Date
	// Consent is the client's word, for a client's instrument and a scope that no accepted quotation
	// covers; nil otherwise.
	Consent *job.WorkConsent
}

// AcceptScope starts a scope as a job at the end of the queue and stores its baseline: what is
// planned for it, from the day of the acceptance on. A client's instrument also needs the client's
// yes: the scope is the option they accepted, unedited since it was quoted, or their consent is
// recorded with the job.
func (a *App) AcceptScope(
	ctx context.Context, actor Actor, x Acceptance,
) (Versioned[job.Job], error) {
	var made Versioned[job.Job]
	load := func(ctx context.Context, s postgres.Snapshot) (acceptance, error) {
		return a.loadAcceptance(ctx, s.Reader, actor, s.At, x, nil)
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteJobs, alone, load, planAccepted, func(
		tx *postgres.Tx, c computed[acceptance, acceptedWork],
	) error {
		if err := lockPiano(ctx, tx, c.in); err != nil {
			return err
		}
		now, err := a.loadAcceptance(ctx, tx.Reader, actor, tx.Now(), x, nil)
		if err != nil {
			return err
		}
		if err := c.in.checkStands(now); err != nil {
			return err
		}
		if err := storeAccepted(ctx, tx, c.out, now.why); err != nil {
			return err
		}
		made, err = tx.Reader.Job(ctx, c.out.job.ID)
		return err
	})
	return made, err
}

// grounds is what a job on a client's instrument rests on: an accepted quotation, or the client's
// recorded consent. An instrument of our own needs neither.
type grounds struct {
	quotation uuid.UUID
	option    *job.QuotedOption // of the quotation
	consent   *job.WorkConsent
}

// checkWork refuses work that isn't what the accepted option was quoted for.
func (g grounds) checkWork(now job.Work) error {
	if g.option == nil {
		return nil
	}
	return g.option.CheckWork(now)
}

// noted adds the grounds to what the feed tells of a job.
func (g grounds) noted(n noted) noted {
	if c := g.consent; c != nil {
		n["consent"] = noted{"party": c.Party, "given_on": c.On}.id("instead_of", c.Instead)
	}
	return n.id("quotation", g.quotation)
}

// groundsOf returns what a job rests on that is made without answering a quotation.
func groundsOf(
	ctx context.Context, r postgres.Reader, actor Actor, at time.Time, d Versioned[DrawnScope],
	x Acceptance,
) (grounds, error) {
	if d.Value.Instrument.Owner != instrument.Client {
		return grounds{}, job.CheckNoConsent(x.Consent)
	}
	accepted, err := r.LastAccepted(ctx, d.Value.Instrument.ID)
	if err != nil {
		return grounds{}, err
	}
	zone, err := zoneOf(d.Value.Workshop)
	if err != nil {
		return grounds{}, err
	}
	c, err := job.CheckConsent(
		accepted, d.Value.Instrument.Party, x.Scope, d.Version, x.Consent, domain.DateOf(at.In(zone)),
	)
	if err != nil {
		return grounds{}, err
	}
	if c == nil {
		return grounds{quotation: accepted.ID, option: accepted.Accepted()}, nil
	}
	c.RecordedBy, c.RecordedAt = actor.User, at
	return grounds{consent: c}, nil
}

// acceptance is what the acceptance of a scope rests on.
type acceptance struct {
	Acceptance
	scope Versioned[DrawnScope] // not drawn yet
	shop  shopState
	why   grounds
	at    time.Time
}

// loadAcceptance loads what the acceptance of a scope rests on and refuses it if no job can come
// of it. Without a quotation that was just accepted, why is found out.
func (a *App) loadAcceptance(
	ctx context.Context, r postgres.Reader, actor Actor, at time.Time, x Acceptance, why *grounds,
) (f acceptance, err error) {
	f.Acceptance, f.at = x, at
	if f.scope, err = a.loadScope(ctx, r, x.Scope); err != nil {
		return f, err
	}
	if err := checkNoneOpen(ctx, r, f.scope.Value.Instrument.ID, x.Scope); err != nil {
		return f, err
	}
	if why != nil {
		f.why = *why
	} else if f.why, err = groundsOf(ctx, r, actor, at, f.scope, x); err != nil {
		return f, err
	}
	f.shop, err = a.loadShop(ctx, r)
	return f, err
}

// checkStands returns a movedError if what the job was drawn and planned from has changed since it
// was read, under the lock of the queue. Hours that were booked meanwhile leave it as it is: a
// baseline says what was planned at its moment.
func (f acceptance) checkStands(now acceptance) error {
	switch {
	case f.scope.Version != now.scope.Version:
		return &movedError{"the scope"}
	case !reflect.DeepEqual(f.scope, now.scope):
		return &movedError{"what the scope is drawn from"}
	}
	return f.shop.checkStands(now.shop)
}

// checkStands returns a movedError if the shop is another one now, or other jobs are in the queue.
func (s shopState) checkStands(now shopState) error {
	switch {
	case !reflect.DeepEqual(s.workshop, now.workshop):
		return &movedError{"the workshop"}
	case !reflect.DeepEqual(s.stations, now.stations):
		return &movedError{"the stations"}
	case !reflect.DeepEqual(s.people, now.people), !reflect.DeepEqual(s.absences, now.absences):
		return &movedError{"the crew"}
	case !slices.EqualFunc(s.queue, now.queue, sameJob):
		return &movedError{"the queue of jobs"}
	}
	return nil
}

func sameJob(a, b queuedJob) bool { return a.job.ID == b.job.ID }

// acceptedWork is a scope that is to become a job, planned behind those in the queue.
type acceptedWork struct {
	job      job.Job
	baseline job.Baseline
}

// lockPiano locks the queue and the instrument of what is being accepted, so that no other job
// comes in between and the instrument doesn't change hands.
func lockPiano(ctx context.Context, tx *postgres.Tx, f acceptance) error {
	if err := tx.LockQueue(ctx); err != nil {
		return err
	}
	return tx.LockInstrument(ctx, f.scope.Value.Instrument.ID)
}

// planAccepted draws, estimates and plans a scope as a job.
func planAccepted(ctx context.Context, f acceptance) (w acceptedWork, err error) {
	drawn, err := drawLines(ctx, f.scope.Value)
	if err != nil {
		return w, err
	}
	e, err := drawn.estimate()
	if err != nil {
		return w, err
	}
	zone, err := zoneOf(drawn.Workshop)
	if err != nil {
		return w, err
	}
	at := f.at.In(zone)
	if err := job.CheckAcceptance(f.On, domain.DateOf(at)); err != nil {
		return w, err
	}
	if err := job.CheckStops(drawn.Catalogue, drawn.Scope, drawn.Stops); err != nil {
		return w, err
	}
	if err := f.why.checkWork(job.WorkOf(drawn.Catalogue, drawn.Scope)); err != nil {
		return w, err
	}
	if w.job, err = job.Accept(drawn.Catalogue, drawn.Scope, drawn.Instrument, f.On); err != nil {
		return w, err
	}
	w.job = w.job.StoppedBy(drawn.Stops)
	w.job.ID, w.job.Scope = newID(f.ID), f.scope.Value.ID
	if w.job.AcceptedOn != domain.DateOf(at) {
		at = w.job.AcceptedOn.In(zone)
	}
	w.baseline, err = job.BaselineOf(ctx, drawn.Catalogue, w.job, e, plan.Situation{
		Shop: f.shop.at(zone), At: at, Queue: f.shop.remainingWork(),
	})
	w.baseline.Revision, w.baseline.Rates = drawn.Revision, job.RatesOf(drawn.Workshop.Terms)
	return w, err
}

// storeAccepted stores a job with its baseline. The caller has locked the queue and checked that
// what it rests on stands.
func storeAccepted(ctx context.Context, tx *postgres.Tx, w acceptedWork, why grounds) error {
	hash, err := tx.KeepDocument(ctx, w.baseline.Canonical())
	if err != nil {
		return err
	}
	if err := tx.AddJob(ctx, w.job, &hash); err != nil {
		return err
	}
	if why.consent != nil {
		if err := tx.AddJobConsent(ctx, w.job.ID, *why.consent); err != nil {
			return err
		}
	}
	i, err := tx.Instrument(ctx, w.job.Instrument)
	if err != nil {
		return err
	}
	state := job.StateInWork(i.Value.State)
	tx.Note(domain.JobAccepted, w.job.ID, why.noted(jobNoted(w.job, state)))
	return tx.MoveInstrument(ctx, w.job.Instrument, state)
}

// checkNoneOpen refuses a scope that is a job already, and a second open job on an instrument. The
// caller has locked the queue, so that no other job comes in between.
func checkNoneOpen(ctx context.Context, r postgres.Reader, instrumentID, scopeID uuid.UUID) error {
	list, err := r.JobsOn(ctx, instrumentID)
	if err != nil {
		return err
	}
	return job.CheckNoneOpen(values(list), scopeID)
}
