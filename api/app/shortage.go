package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/supply"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Shortages returns what is short for the open jobs and of the minimum of each part.
func (a *App) Shortages(ctx context.Context, actor Actor) ([]supply.Shortage, error) {
	r := a.Read(ctx, actor)
	parts, err := r.Stock(ctx, postgres.Whole)
	if err != nil {
		return nil, err
	}
	stocked, err := stockedAndOrdered(ctx, r, parts)
	if err != nil {
		return nil, err
	}
	needs, err := a.needs(ctx, actor, r, parts)
	return supply.Shortages(stocked, needs), err
}

func stockedAndOrdered(
	ctx context.Context, r postgres.Reader, parts []postgres.StockedPart,
) ([]supply.Stocked, error) {
	lead, err := r.LeadTimes(ctx, uuid.Nil)
	if err != nil {
		return nil, err
	}
	ordered, err := r.Outstanding(ctx)
	if err != nil {
		return nil, err
	}
	list, at := make([]supply.Stocked, len(parts)), map[uuid.UUID]*supply.Stocked{}
	for i, p := range parts {
		list[i] = supply.Stocked{
			Part: p.Versioned.Value, Held: p.Quantity, ForJobs: map[uuid.UUID]decimal.Decimal{},
		}
		at[p.Versioned.Value.ID] = &list[i]
		for _, t := range lead[p.Versioned.Value.ID] {
			if t.Supplier == p.Versioned.Value.Supplier {
				list[i].Lead = t
			}
		}
	}
	for _, o := range ordered {
		if s := at[o.Part]; o.Job == uuid.Nil {
			s.OnOrder = o.Units
		} else {
			s.ForJobs[o.Job] = o.Units
		}
	}
	return list, nil
}

// material names a material of the catalogue.
type material struct {
	operation catalogue.Code
	name      string
}

type servingPart struct {
	part  uuid.UUID
	units decimal.Decimal
}

// servedBy returns which part serves each material: the first by code.
func servedBy(parts []postgres.StockedPart) map[material]servingPart {
	by := map[material]servingPart{}
	for _, p := range parts {
		for _, s := range p.Versioned.Value.Serves {
			m := material{s.Operation, s.Material}
			if _, there := by[m]; !there {
				by[m] = servingPart{p.Versioned.Value.ID, s.Units}
			}
		}
	}
	return by
}

// needs returns what is left to do on the open jobs calls for, where a part serves it.
func (a *App) needs(
	ctx context.Context, actor Actor, r postgres.Reader, parts []postgres.StockedPart,
) ([]supply.Need, error) {
	by := servedBy(parts)
	if len(by) == 0 {
		return nil, nil
	}
	jobs, err := r.Jobs(ctx, false, postgres.Whole)
	if err != nil {
		return nil, err
	}
	days, err := a.plannedDays(ctx, actor, r)
	if err != nil {
		return nil, err
	}
	ids := make([]uuid.UUID, len(jobs))
	for i, j := range jobs {
		ids[i] = j.Value.ID
	}
	got, err := gotByJobs(ctx, r, ids)
	if err != nil {
		return nil, err
	}
	var needs []supply.Need
	for _, j := range jobs {
		uses, err := a.usesOf(ctx, r, j.Value)
		if err != nil {
			return nil, err
		}
		needs = append(needs, needsOf(j.Value.ID, uses, by, got, days)...)
	}
	return needs, nil
}

func gotByJobs(
	ctx context.Context, r postgres.Reader, jobs []uuid.UUID,
) (map[taskPart]decimal.Decimal, error) {
	list, err := r.GotByJobs(ctx, jobs)
	got := map[taskPart]decimal.Decimal{}
	for _, g := range list {
		got[taskPart{g.Part, g.Job, g.Operation}] = g.Units
	}
	return got, err
}

type taskPart struct {
	part, job uuid.UUID
	operation catalogue.Code
}

// needsOf returns what a job needs of each part, task by task, less what it has got.
func needsOf(
	id uuid.UUID, uses []scope.Consumption, by map[material]servingPart,
	got map[taskPart]decimal.Decimal, days map[taskPart]domain.Date,
) []supply.Need {
	var needs []supply.Need
	at := map[taskPart]int{}
	for _, u := range uses {
		s, served := by[material{u.Operation, u.Name}]
		if !served {
			continue
		}
		key := taskPart{s.part, id, u.Operation}
		if _, there := at[key]; !there {
			at[key] = len(needs)
			needs = append(needs, supply.Need{
				Part: s.part, Job: id, Operation: u.Operation,
				On: days[taskPart{job: id, operation: u.Operation}],
			})
		}
		n := &needs[at[key]]
		n.Units = n.Units.Add(u.Quantity.Mul(s.units).RoundUp(domain.DecimalPlaces))
	}
	for i := range needs {
		n := &needs[i]
		for _, key := range []taskPart{{n.Part, id, n.Operation}, {n.Part, id, ""}} {
			used := decimal.Min(got[key], n.Units)
			n.Units, got[key] = n.Units.Sub(used), got[key].Sub(used)
		}
	}
	return needs
}

// usesOf returns what is left to do on a job calls for.
func (a *App) usesOf(
	ctx context.Context, r postgres.Reader, j job.Job,
) ([]scope.Consumption, error) {
	d, err := r.Scope(ctx, j.Scope)
	if err != nil {
		return nil, err
	}
	of, err := a.undrawn(ctx, r, d.Value)
	if err != nil {
		return nil, err
	}
	work, err := of.giveLines(j)
	if err != nil {
		return nil, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return nil, err
	}
	left := job.Remaining(work, of.Instrument, zone)
	return leftToUse(of.Catalogue, of.Instrument, of.Judgements, work, left), nil
}

// plannedDays returns the day on which each task begins by the newest plan; none without a plan.
func (a *App) plannedDays(
	ctx context.Context, actor Actor, r postgres.Reader,
) (map[taskPart]domain.Date, error) {
	days := map[taskPart]domain.Date{}
	p, err := a.LatestPlan(ctx, actor)
	if faultIs(err, domain.NotFound) {
		return days, nil
	}
	if err != nil {
		return nil, err
	}
	w, err := r.Workshop(ctx)
	if err != nil {
		return nil, err
	}
	zone, err := zoneOf(w.Value)
	if err != nil {
		return nil, err
	}
	for _, t := range p.Result.Tasks {
		key := taskPart{job: t.Job, operation: t.Step.Operation}
		day := domain.DateOf(t.Step.Start.In(zone))
		if was, there := days[key]; !there || day.Compare(was) < 0 {
			days[key] = day
		}
	}
	return days, nil
}
