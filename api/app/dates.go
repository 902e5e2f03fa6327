package app

import (
	"context"
	"fmt"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/google/uuid"
)

// shopState is what dates depend on beside the work itself.
type shopState struct {
	workshop domain.Workshop
	stations []domain.Station
	people   []domain.Person
	absences []domain.Absence
	queue    []jobNow
}

// jobNow is a job in the queue with what is left of it.
type jobNow struct {
	job  domain.Job
	work domain.JobWork
}

// at is the workshop as dates see it.
func (s shopState) at(zone *time.Location) domain.Shop {
	return domain.Shop{Open: s.workshop.Open, Zone: zone, Stations: s.stations, People: s.people, Absences: s.absences}
}

// lefts is what is left of each job that anything is left of.
func (s shopState) lefts() []domain.QueuedWork {
	list := []domain.QueuedWork{}
	for _, j := range s.queue {
		if len(j.work.Left.Scope.Lines) > 0 {
			list = append(list, j.work.Left)
		}
	}
	return list
}

// shopNow loads the workshop, its stations and people, and what is left of each
// job.
func (a *App) shopNow(ctx context.Context, r postgres.Reader) (shopState, error) {
	w, err := r.Workshop(ctx)
	if err != nil {
		return shopState{}, err
	}
	s := shopState{workshop: w.Value, stations: []domain.Station{}, queue: []jobNow{}}
	stations, err := r.Stations(ctx)
	if err != nil {
		return s, err
	}
	for _, x := range stations {
		s.stations = append(s.stations, x.Value)
	}
	people, err := r.People(ctx)
	if err != nil {
		return s, err
	}
	for _, x := range people {
		s.people = append(s.people, x.Value)
	}
	zone, err := zoneOf(s.workshop)
	if err != nil {
		return s, err
	}
	absences, err := r.Absences(ctx, domain.DateOf(a.now().In(zone)))
	if err != nil {
		return s, err
	}
	s.absences = domain.InPlans(absences)
	jobs, err := r.Jobs(ctx)
	if err != nil {
		return s, err
	}
	of, err := a.queueOf(ctx, r, w.Value, jobs)
	if err != nil {
		return s, err
	}
	for _, j := range jobs {
		now, err := of.jobNow(ctx, j.Value)
		if err != nil {
			return s, err
		}
		s.queue = append(s.queue, now)
	}
	return s, nil
}

// queueOf loads what all jobs of a queue refer to, whatever their number.
func (a *App) queueOf(ctx context.Context, r postgres.Reader, w domain.Workshop, jobs []Versioned[domain.Job]) (queueFile, error) {
	q := queueFile{a: a, r: r, catalogues: map[int]*catalogue.Catalogue{}}
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
	q.instruments, err = r.InstrumentsByID(ctx, instruments)
	return q, err
}

// queueFile is what the jobs of a queue refer to.
type queueFile struct {
	a           *App
	r           postgres.Reader
	zone        *time.Location
	scopes      map[uuid.UUID]postgres.Decision
	instruments map[uuid.UUID]domain.Instrument
	catalogues  map[int]*catalogue.Catalogue // by revision, as far as they were asked for
}

// jobNow is what is left of a job, by the catalogue that it is pinned to.
func (q queueFile) jobNow(ctx context.Context, j domain.Job) (jobNow, error) {
	d := q.scopes[j.Scope]
	if !j.KeepsLines() {
		drawn, err := q.a.draw(ctx, q.r, d)
		if err != nil {
			return jobNow{}, err
		}
		j = j.WithLines(drawn.Scope)
	}
	if q.catalogues[d.Revision] == nil {
		c, err := q.a.catalogueAt(ctx, q.r, d.Revision)
		if err != nil {
			return jobNow{}, err
		}
		q.catalogues[d.Revision] = c.Catalogue
	}
	left := domain.LeftOf(j, q.instruments[j.Instrument], q.zone)
	return jobNow{job: j, work: domain.JobWork{Catalogue: q.catalogues[d.Revision], Left: left}}, nil
}

// JobDates is when a job in the queue will be done, in its place among the
// others. A closed job is Conflict.
func (a *App) JobDates(ctx context.Context, actor Actor, id uuid.UUID) (domain.Timeline, error) {
	r := a.Read(ctx, actor)
	j, err := r.Job(ctx, id)
	if err != nil {
		return domain.Timeline{}, err
	}
	if _, err := j.Value.State.After(domain.ChangeJob); err != nil {
		return domain.Timeline{}, err
	}
	shop, err := a.shopNow(ctx, r)
	if err != nil {
		return domain.Timeline{}, err
	}
	lines, err := shop.forecast(a.now())
	if err != nil {
		return domain.Timeline{}, err
	}
	t, ok := lines[id]
	if !ok {
		return t, domain.Refuse(domain.Conflict, "the job was closed meanwhile")
	}
	return t, nil
}

// forecast dates every job of the queue from an instant on.
func (s shopState) forecast(at time.Time) (map[uuid.UUID]domain.Timeline, error) {
	zone, err := zoneOf(s.workshop)
	if err != nil {
		return nil, err
	}
	work := make([]domain.JobWork, len(s.queue))
	for i, j := range s.queue {
		work[i] = j.work
	}
	list, err := domain.Forecast(work, s.at(zone), at)
	if err != nil {
		return nil, err
	}
	dates := make(map[uuid.UUID]domain.Timeline, len(list))
	for i, t := range list {
		dates[s.queue[i].job.ID] = t
	}
	return dates, nil
}

// Estimate is a stored scope in hours, parts and money, with the scope that it
// was drawn from.
func (a *App) Estimate(ctx context.Context, actor Actor, scope uuid.UUID) (DrawnScope, pricing.Estimate, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return DrawnScope{}, pricing.Estimate{}, err
	}
	s, err := a.Scope(ctx, actor, scope)
	if err != nil {
		return DrawnScope{}, pricing.Estimate{}, err
	}
	v := s.Value
	e, err := domain.EstimateScope(v.Catalogue, v.Instrument, v.Judgements, v.Scope, v.Workshop.Terms)
	return v, e, err
}

// Dates is when a stored scope would be done if it were accepted now: alone,
// and behind the jobs in progress.
func (a *App) Dates(ctx context.Context, actor Actor, scope uuid.UUID) (domain.Dates, error) {
	s, err := a.Scope(ctx, actor, scope)
	if err != nil {
		return domain.Dates{}, err
	}
	cal, err := a.calendar(ctx, a.Read(ctx, actor))
	if err != nil {
		return domain.Dates{}, err
	}
	return domain.DatesOf(s.Value.Catalogue, s.Value.Scope, cal.Shop, cal.At, cal.Queue)
}

// zoneOf is the workshop's time zone.
func zoneOf(w domain.Workshop) (*time.Location, error) {
	zone, err := time.LoadLocation(w.Zone)
	if err != nil {
		return nil, domain.Faults{{Pointer: "#/zone", Detail: fmt.Sprintf("%q is no IANA time zone", w.Zone)}}.Err()
	}
	return zone, nil
}
