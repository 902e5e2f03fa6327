package app

import (
	"context"
	"fmt"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/pricing"

	"github.com/google/uuid"
)

// shopState is what dates depend on apart from the work itself.
type shopState struct {
	workshop domain.Workshop
	stations []domain.Station
	people   []domain.Person
	absences []domain.Absence
	queue    []queuedJob
}

// queuedJob is a job in the queue with the work that remains.
type queuedJob struct {
	job       job.Job
	work      plan.JobWork
	catalogue postgres.Hash // the hash under which work's catalogue is stored
}

// at returns the shop as package plan needs it.
func (s shopState) at(zone *time.Location) plan.Shop {
	return plan.Shop{
		Open: s.workshop.Open, Zone: zone, Stations: s.stations, People: s.people,
		Absences: s.absences, Confirmed: s.workshop.Confirmed,
	}
}

// remainingWork returns the rest of each job that isn't finished.
func (s shopState) remainingWork() []plan.QueuedWork {
	list := []plan.QueuedWork{}
	for _, j := range s.queue {
		if len(j.work.Left.Scope.Lines) > 0 {
			list = append(list, j.work.Left)
		}
	}
	return list
}

// loadShop loads the workshop, its stations and people, and the jobs in the queue.
func (a *App) loadShop(ctx context.Context, r postgres.Reader) (shopState, error) {
	s, err := loadCrewAndStations(ctx, r)
	if err != nil {
		return s, err
	}
	zone, err := zoneOf(s.workshop)
	if err != nil {
		return s, err
	}
	absences, err := r.Absences(ctx, domain.DateOf(a.now().In(zone)), postgres.Whole)
	if err != nil {
		return s, err
	}
	s.absences = domain.WithoutPersonalReasons(absences)
	jobs, err := r.Jobs(ctx, false, postgres.Whole)
	if err != nil {
		return s, err
	}
	of, err := a.loadQueue(ctx, r, s.workshop, jobs)
	if err != nil {
		return s, err
	}
	for _, j := range jobs {
		now, err := of.queuedJob(ctx, j.Value)
		if err != nil {
			return s, err
		}
		s.queue = append(s.queue, now)
	}
	return s, a.loadSupplied(ctx, of, s.queue)
}

// loadCrewAndStations loads the workshop, its stations and people.
func loadCrewAndStations(ctx context.Context, r postgres.Reader) (shopState, error) {
	w, err := r.Workshop(ctx)
	if err != nil {
		return shopState{}, err
	}
	s := shopState{workshop: w.Value, stations: []domain.Station{}, queue: []queuedJob{}}
	stations, err := r.Stations(ctx, postgres.Whole)
	if err != nil {
		return s, err
	}
	for _, x := range stations {
		s.stations = append(s.stations, x.Value)
	}
	people, err := r.People(ctx, postgres.Whole)
	for _, x := range people {
		s.people = append(s.people, x.Value)
	}
	return s, err
}

// loadQueue loads what the jobs of a queue refer to, in a fixed number of queries.
func (a *App) loadQueue(
	ctx context.Context, r postgres.Reader, w domain.Workshop, jobs []Versioned[job.Job],
) (queueData, error) {
	q := queueData{a: a, r: r, catalogues: map[int]CatalogueRevision{}}
	var scopes, instruments []uuid.UUID
	for _, j := range jobs {
		scopes, instruments = append(scopes, j.Value.Scope), append(instruments, j.Value.Instrument)
	}
	var err error
	if q.zone, err = zoneOf(w); err != nil {
		return q, err
	}
	if q.scopes, err = r.ScopesByID(ctx, scopes); err != nil {
		return q, err
	}
	if q.instruments, err = r.InstrumentsByID(ctx, instruments); err != nil {
		return q, err
	}
	q.stops, err = q.loadStops(ctx, w, jobs)
	return q, err
}

// loadStops loads what stops the instruments of those jobs that mind it.
func (q queueData) loadStops(
	ctx context.Context, w domain.Workshop, jobs []Versioned[job.Job],
) (map[uuid.UUID]clearance.List, error) {
	var list []instrument.Instrument
	for _, j := range jobs {
		rev, err := q.catalogue(ctx, j.Value)
		if err != nil {
			return nil, err
		}
		minds, err := j.Value.MindsStops(rev.Catalogue)
		if err != nil {
			return nil, err
		}
		if minds {
			list = append(list, q.instruments[j.Value.Instrument])
		}
	}
	return q.a.stopsOfEach(ctx, q.r, list, w)
}

// catalogue returns the revision that a job pins.
func (q queueData) catalogue(ctx context.Context, j job.Job) (CatalogueRevision, error) {
	number := q.scopes[j.Scope].Revision
	rev, known := q.catalogues[number]
	if !known {
		var err error
		if rev, err = q.a.catalogueAt(ctx, q.r, number); err != nil {
			return rev, err
		}
		q.catalogues[number] = rev
	}
	return rev, nil
}

// queueData is what the jobs of a queue refer to.
type queueData struct {
	a           *App
	r           postgres.Reader
	zone        *time.Location
	scopes      map[uuid.UUID]postgres.ScopeRecord
	instruments map[uuid.UUID]instrument.Instrument
	catalogues  map[int]CatalogueRevision    // by revision, loaded on demand
	stops       map[uuid.UUID]clearance.List // of instruments
}

// queuedJob returns the remaining work of a job under the catalogue that it pins.
func (q queueData) queuedJob(ctx context.Context, j job.Job) (queuedJob, error) {
	d := q.scopes[j.Scope]
	if !j.HasLines() {
		drawn, err := q.a.draw(ctx, q.r, d)
		if err != nil {
			return queuedJob{}, err
		}
		j = j.WithLines(drawn.Scope)
	}
	rev, err := q.catalogue(ctx, j)
	if err != nil {
		return queuedJob{}, err
	}
	j = j.StoppedBy(q.stops[j.Instrument])
	left := job.Remaining(j, q.instruments[j.Instrument], q.zone)
	left.Sent = job.SentOut(j, domain.DateOf(q.a.now().In(q.zone)), q.zone)
	return queuedJob{
		job: j, work: plan.JobWork{Catalogue: rev.Catalogue, Left: left}, catalogue: rev.Document,
	}, nil
}

// remaining returns what would be left of a job in the queue if it were as given, with its parts
// and what is out at firms as they stand.
func (q queuedJob) remaining(
	j job.Job, in instrument.Instrument, zone *time.Location,
) plan.QueuedWork {
	left := job.Remaining(j, in, zone)
	left.Supplied, left.Sent = q.work.Left.Supplied, q.work.Left.Sent
	return left
}

// DatesAssume returns what every date of the workshop rests on without anybody having entered or
// confirmed it.
func (a *App) DatesAssume(ctx context.Context, actor Actor) ([]domain.Assumption, error) {
	s, err := loadCrewAndStations(ctx, a.Read(ctx, actor))
	return s.at(nil).Assumptions(), err
}

// DatedJob is when a job will be done, and how its parts stand.
type DatedJob struct {
	plan.Timeline
	Supplied []plan.Supplied
}

// JobDates returns when a job will be done in its place in the queue. A closed job is a Conflict
// Fault.
func (a *App) JobDates(ctx context.Context, actor Actor, id uuid.UUID) (DatedJob, error) {
	load := func(ctx context.Context, s postgres.Snapshot) (shopState, error) {
		j, err := s.Job(ctx, id)
		if err != nil {
			return shopState{}, err
		}
		if _, err := j.Value.State.After(job.CommandChange); err != nil {
			return shopState{}, err
		}
		return a.loadShop(ctx, s.Reader)
	}
	c, err := compute(ctx, a, actor, brief, load, func(ctx context.Context, s shopState) (
		map[uuid.UUID]plan.Timeline, error,
	) {
		return s.forecast(ctx, a.now())
	})
	dated := DatedJob{Timeline: c.out[id]}
	for _, j := range c.in.queue {
		if j.job.ID == id {
			dated.Supplied = j.work.Left.Supplied
		}
	}
	return dated, err
}

// forecast dates every job in the queue, with nothing before the instant at.
func (s shopState) forecast(
	ctx context.Context, at time.Time,
) (map[uuid.UUID]plan.Timeline, error) {
	zone, err := zoneOf(s.workshop)
	if err != nil {
		return nil, err
	}
	work := make([]plan.JobWork, len(s.queue))
	for i, j := range s.queue {
		work[i] = j.work
	}
	list, err := plan.Forecast(ctx, work, s.at(zone), at)
	if err != nil {
		return nil, err
	}
	dates := make(map[uuid.UUID]plan.Timeline, len(list))
	for i, t := range list {
		dates[s.queue[i].job.ID] = t
	}
	return dates, nil
}

// Estimate returns a stored scope with its hours, parts and cost.
func (a *App) Estimate(
	ctx context.Context, actor Actor, sc uuid.UUID,
) (DrawnScope, pricing.Estimate, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return DrawnScope{}, pricing.Estimate{}, err
	}
	c, err := compute(ctx, a, actor, brief, a.scopeLoader(sc), func(
		ctx context.Context, s Versioned[DrawnScope],
	) (estimatedScope, error) {
		s, err := drawStored(ctx, s)
		if err != nil {
			return estimatedScope{}, err
		}
		e, err := s.Value.estimate()
		return estimatedScope{s.Value, e}, err
	})
	return c.out.DrawnScope, c.out.Estimate, err
}

// EstimateAssumes returns what the estimate of a scope rests on without anybody having entered or
// confirmed it.
func (a *App) EstimateAssumes(
	ctx context.Context, actor Actor, s DrawnScope, e pricing.Estimate,
) ([]domain.Assumption, error) {
	r := a.Read(ctx, actor)
	rev, err := a.catalogueAt(ctx, r, s.Revision)
	if err != nil {
		return nil, err
	}
	shipped, err := a.asShipped(ctx, r, rev.Catalogue, rev.Document)
	return scope.Assumptions(s.Workshop, shipped, s.Scope, e), err
}

// estimatedScope is a drawn scope with its estimate.
type estimatedScope struct {
	DrawnScope
	pricing.Estimate
}

// estimate returns the scope in hours, parts and money.
func (s DrawnScope) estimate() (pricing.Estimate, error) {
	return scope.Estimate(s.Catalogue, s.Instrument, s.Judgements, s.Scope, s.Workshop.Terms)
}

// Dates returns when a stored scope would be done if it were accepted now: alone, and behind the
// jobs in progress; and what that rests on without anybody having confirmed it.
func (a *App) Dates(
	ctx context.Context, actor Actor, scopeID uuid.UUID,
) (plan.Dates, []domain.Assumption, error) {
	c, err := compute(ctx, a, actor, brief, a.loadSituated(scopeID), func(
		ctx context.Context, s situatedScope,
	) (plan.Dates, error) {
		v, err := drawStored(ctx, s.Versioned)
		if err != nil {
			return plan.Dates{}, err
		}
		d := v.Value
		return d.datedIn(s.cal).DatesOf(ctx, d.Catalogue, d.Scope)
	})
	return c.out, c.in.cal.Shop.Assumptions(), err
}

// datedIn returns a situation with what stops the instrument of the scope.
func (s DrawnScope) datedIn(cal plan.Situation) plan.Situation {
	cal.Stops = plan.StopsOf(s.Stops)
	return cal
}

// situatedScope is a stored scope that isn't drawn yet, with what its dates depend on.
type situatedScope struct {
	Versioned[DrawnScope]
	cal plan.Situation
}

// loadSituated returns what loads a stored scope with what its dates depend on.
func (a *App) loadSituated(
	id uuid.UUID,
) func(context.Context, postgres.Snapshot) (situatedScope, error) {
	return func(ctx context.Context, s postgres.Snapshot) (situatedScope, error) {
		v, err := a.loadScope(ctx, s.Reader, id)
		if err != nil {
			return situatedScope{}, err
		}
		cal, err := a.calendar(ctx, s)
		return situatedScope{v, cal}, err
	}
}

// zoneOf returns the workshop's time zone.
func zoneOf(w domain.Workshop) (*time.Location, error) {
	zone, err := time.LoadLocation(w.Zone)
	if err != nil || w.Zone == "Local" {
		return nil, domain.Faults{
			{Pointer: "#/zone", Detail: fmt.Sprintf("%q isn't an IANA time zone such as Europe/Lisbon", w.Zone)},
		}.Err()
	}
	return zone, nil
}
