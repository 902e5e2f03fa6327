package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Stops returns what stops an instrument as things stand, including what was cleared.
func (a *App) Stops(
	ctx context.Context, actor Actor, instrument uuid.UUID,
) (clearance.List, error) {
	r := a.Read(ctx, actor)
	i, err := r.Instrument(ctx, instrument)
	if err != nil {
		return nil, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return a.stopsOf(ctx, r, i.Value, w.Value)
}

// stopsOf returns what stops an instrument: by the looks at each point, under the newest
// catalogue and the law of its country, given its clearances.
func (a *App) stopsOf(
	ctx context.Context, r postgres.Reader, i instrument.Instrument, w domain.Workshop,
) (clearance.List, error) {
	return a.stopsFor(ctx, r, i, w, domain.Date{})
}

// stopsFor returns what stops an instrument for an act on a day; papers dated later don't lift
// them. Zero: papers of any date do.
func (a *App) stopsFor(
	ctx context.Context, r postgres.Reader, i instrument.Instrument, w domain.Workshop,
	act domain.Date,
) (clearance.List, error) {
	zone, err := zoneOf(w)
	if err != nil {
		return nil, err
	}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return nil, err
	}
	c, err := a.catalogueOf(ctx, r, rev.Document)
	if err != nil {
		return nil, err
	}
	surveys, err := r.SurveysOf(ctx, i.ID)
	if err != nil {
		return nil, err
	}
	cleared, err := r.Clearances(ctx, i.ID, postgres.Whole)
	if err != nil {
		return nil, err
	}
	return clearance.StopsOf(clearance.Record{
		Catalogue: c, Instrument: i, Surveys: surveys, Country: w.Country,
		Clearances: cleared, Today: domain.DateOf(a.now().In(zone)), PapersBy: act,
	})
}

// stopsNow returns what stops an instrument as a transaction sees it.
func (a *App) stopsNow(
	ctx context.Context, tx *postgres.Tx, instrument uuid.UUID,
) (clearance.List, error) {
	return a.stopsOn(ctx, tx, instrument, domain.Date{})
}

// stopsOn returns stopsNow for an act of a day: see stopsFor.
func (a *App) stopsOn(
	ctx context.Context, tx *postgres.Tx, instrument uuid.UUID, act domain.Date,
) (clearance.List, error) {
	i, err := tx.Instrument(ctx, instrument)
	if err != nil {
		return nil, err
	}
	w, err := tx.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return a.stopsFor(ctx, tx.Reader, i.Value, w.Value, act)
}

// JobStops returns what stops the instrument of a job, given the work that the job contains and how
// far that is.
func (a *App) JobStops(ctx context.Context, actor Actor, j job.Job) (clearance.List, error) {
	stops, err := a.Stops(ctx, actor, j.Instrument)
	if err != nil || j.HasLines() {
		return j.Stops(stops), err
	}
	r := a.Read(ctx, actor)
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return nil, err
	}
	drawn, err := a.draw(ctx, r, d.Value)
	return j.WithLines(drawn.Scope).Stops(drawn.Stops), err
}

// Clear records that what a stop requires is met, or withdraws a clearance.
func (a *App) Clear(
	ctx context.Context, actor Actor, c clearance.Clearance,
) (clearance.Clearance, error) {
	err := a.write(ctx, actor, domain.ClearStops, func(tx *postgres.Tx) error {
		if err := tx.LockInstrument(ctx, c.Instrument); err != nil {
			return err
		}
		stops, err := a.stopsNow(ctx, tx, c.Instrument)
		if err != nil {
			return err
		}
		day, err := today(ctx, tx)
		if err != nil {
			return err
		}
		if c, err = stops.Clear(c, actor.Role, day); err != nil {
			return err
		}
		c.ID, c.RecordedBy, c.RecordedAt = newID(c.ID), actor.User, tx.Now()
		tx.Note(domain.InstrumentCleared, c.Instrument, noted{
			"clearance": c.ID, "stop": c.Stop, "withdrawn": c.Withdraws != uuid.Nil, "on": c.On,
		}.id("withdraws", c.Withdraws).text("reference", c.Reference).day("dated", c.Dated))
		return tx.AddClearance(ctx, c)
	})
	return c, err
}
