package app

import (
	"context"
	"fmt"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/pricing"

	"github.com/google/uuid"
)

// shopState is what dates depend on beside the work itself.
type shopState struct {
	workshop domain.Workshop
	stations []domain.Station
	queue    []domain.QueuedWork
}

// shopNow loads the workshop, its stations and what is left of each job.
func (a *App) shopNow(ctx context.Context, r postgres.Reader) (shopState, error) {
	w, err := r.Workshop(ctx)
	if err != nil {
		return shopState{}, err
	}
	s := shopState{workshop: w.Value, stations: []domain.Station{}, queue: []domain.QueuedWork{}}
	stations, err := r.Stations(ctx)
	if err != nil {
		return s, err
	}
	for _, x := range stations {
		s.stations = append(s.stations, x.Value)
	}
	jobs, err := r.Jobs(ctx)
	if err != nil {
		return s, err
	}
	for _, j := range jobs {
		q, err := a.queued(ctx, r, j.Value)
		if err != nil {
			return s, err
		}
		if len(q.Scope.Lines) > 0 {
			s.queue = append(s.queue, q)
		}
	}
	return s, nil
}

// queued is what is left of a job.
func (a *App) queued(ctx context.Context, r postgres.Reader, j domain.Job) (domain.QueuedWork, error) {
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return domain.QueuedWork{}, err
	}
	drawn, err := a.draw(ctx, r, d.Value)
	if err != nil {
		return domain.QueuedWork{}, err
	}
	zone, err := zoneOf(drawn.Workshop)
	if err != nil {
		return domain.QueuedWork{}, err
	}
	return domain.LeftOf(j, drawn.Scope, drawn.Instrument, zone), nil
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
