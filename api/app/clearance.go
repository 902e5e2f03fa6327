package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Stops returns what stops an instrument as things stand, including what was cleared.
func (a *App) Stops(
	ctx context.Context, actor Actor, instrumentID uuid.UUID,
) (clearance.List, error) {
	r := a.Read(ctx, actor)
	i, err := r.Instrument(ctx, instrumentID)
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
	record, err := a.stopRecord(ctx, r, i, w)
	if err != nil {
		return nil, err
	}
	record.PapersBy = act
	return clearance.StopsOf(record)
}

// stopRecord returns what decides which stops an instrument has.
func (a *App) stopRecord(
	ctx context.Context, r postgres.Reader, i instrument.Instrument, w domain.Workshop,
) (clearance.Record, error) {
	record, err := a.stopLaw(ctx, r, w)
	if err != nil {
		return record, err
	}
	record.Instrument = i
	if record.Surveys, err = r.SurveysOf(ctx, i.ID); err != nil {
		return record, err
	}
	if record.CameBack, err = r.CameBack(ctx, i.ID); err != nil {
		return record, err
	}
	record.Clearances, err = r.Clearances(ctx, i.ID, postgres.Whole)
	return record, err
}

// stopLaw returns what decides about stops whatever the instrument.
func (a *App) stopLaw(
	ctx context.Context, r postgres.Reader, w domain.Workshop,
) (clearance.Record, error) {
	zone, err := zoneOf(w)
	if err != nil {
		return clearance.Record{}, err
	}
	rev, err := r.LatestRevision(ctx)
	if err != nil {
		return clearance.Record{}, err
	}
	c, err := a.catalogueOf(ctx, r, rev.Document)
	return clearance.Record{
		Catalogue: c, Country: w.Country, Today: domain.DateOf(a.now().In(zone)),
	}, err
}

// stopsOfEach returns what stops instruments as far as it bears on moving them and on work on them,
// in a fixed number of queries. Only what somebody found does: the law bars dealing.
func (a *App) stopsOfEach(
	ctx context.Context, r postgres.Reader, instruments []instrument.Instrument, w domain.Workshop,
) (map[uuid.UUID]clearance.List, error) {
	stops := map[uuid.UUID]clearance.List{}
	if len(instruments) == 0 {
		return stops, nil
	}
	record, err := a.stopLaw(ctx, r, w)
	if err != nil {
		return nil, err
	}
	points, err := clearance.PointsBarring(record.Catalogue, catalogue.ToMove, catalogue.ToWork)
	if err != nil {
		return nil, err
	}
	ids := make([]uuid.UUID, len(instruments))
	for i, x := range instruments {
		ids[i] = x.ID
	}
	surveys, err := r.SurveysAt(ctx, ids, points)
	if err != nil || len(surveys) == 0 {
		return stops, err
	}
	cleared, err := r.ClearancesOf(ctx, ids)
	if err != nil {
		return nil, err
	}
	for _, i := range instruments {
		if len(surveys[i.ID]) == 0 {
			continue
		}
		record.Instrument, record.Surveys, record.Clearances = i, surveys[i.ID], cleared[i.ID]
		if stops[i.ID], err = clearance.StopsOf(record); err != nil {
			return nil, err
		}
	}
	return stops, nil
}

// stopsNow returns what stops an instrument as a transaction sees it.
func (a *App) stopsNow(
	ctx context.Context, r postgres.Reader, instrumentID uuid.UUID,
) (clearance.List, error) {
	return a.stopsOn(ctx, r, instrumentID, domain.Date{})
}

// stopsOn returns stopsNow for an act of a day: see stopsFor.
func (a *App) stopsOn(
	ctx context.Context, r postgres.Reader, instrumentID uuid.UUID, act domain.Date,
) (clearance.List, error) {
	i, err := r.Instrument(ctx, instrumentID)
	if err != nil {
		return nil, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return a.stopsFor(ctx, r, i.Value, w.Value, act)
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
		stops, err := a.stopsNow(ctx, tx.Reader, c.Instrument)
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
