package app

import (
	"context"
	"encoding/hex"
	"fmt"
	"runtime"
	"time"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// StoredPlan is a stored plan with what it says.
type StoredPlan struct {
	postgres.Plan
	Result domain.PlanOfShop
}

// PlanRequest says what is to be spent on a plan: schedules, and for so long at
// most.
type PlanRequest struct {
	Schedules int
	Seed      int64
	Limit     time.Duration // whole seconds
}

// MakePlan plans all jobs together now, and keeps the plan with all it follows
// from. When the time is over, that is the best so far. Nothing that the
// verifier finds fault with is kept.
func (a *App) MakePlan(ctx context.Context, actor Actor, q PlanRequest) (StoredPlan, error) {
	var made StoredPlan
	err := a.write(ctx, actor, domain.WriteJobs, func(tx *postgres.Tx) error {
		in, catalogues, err := a.planInputs(ctx, tx)
		if err != nil {
			return err
		}
		in.Schedules, in.Seed, in.Seconds = q.Schedules, uint64(q.Seed), int(q.Limit/time.Second) //nolint:gosec // any number seeds
		zone, err := zoneOf(in.Workshop)
		if err != nil {
			return err
		}
		looking, enough := context.WithTimeout(ctx, q.Limit)
		defer enough()
		made.Result, err = domain.PlanShop(looking, in, catalogues, zone, runtime.GOMAXPROCS(0))
		if err != nil {
			return err
		}
		made.Plan = postgres.Plan{ID: newID(uuid.Nil), Engine: in.Engine, Schedules: q.Schedules, Seed: q.Seed, CreatedAt: tx.Now()}
		if made.Inputs, err = tx.KeepDocument(ctx, in.Canonical()); err != nil {
			return err
		}
		if made.Plan.Result, err = tx.KeepDocument(ctx, made.Result.Canonical()); err != nil {
			return err
		}
		tx.Note("plan.made", made.ID, map[string]any{"tasks": len(made.Result.Tasks), "schedules": made.Result.Schedules})
		return tx.AddPlan(ctx, made.Plan)
	})
	return made, err
}

// LatestPlan is the newest plan of the whole shop.
func (a *App) LatestPlan(ctx context.Context, actor Actor) (StoredPlan, error) {
	r := a.Read(ctx, actor)
	p, err := r.LatestPlan(ctx)
	if err != nil {
		return StoredPlan{}, err
	}
	body, err := r.Document(ctx, p.Result)
	if err != nil {
		return StoredPlan{}, err
	}
	s := StoredPlan{Plan: p}
	if s.Result, err = domain.ParsePlan(body); err != nil {
		return s, fmt.Errorf("read plan %s: %w", p.ID, err)
	}
	return s, nil
}

// planInputs gathers everything that a plan follows from, with the catalogue of
// each job.
func (a *App) planInputs(ctx context.Context, tx *postgres.Tx) (domain.PlanInputs, []*catalogue.Catalogue, error) {
	shop, err := a.shopNow(ctx, tx.Reader)
	if err != nil {
		return domain.PlanInputs{}, nil, err
	}
	in := domain.PlanInputs{
		Engine: domain.Engine, At: tx.Now(), Workshop: shop.workshop, Stations: shop.stations, People: shop.people, Absences: shop.absences,
		Jobs: []domain.PlanJob{},
	}
	var catalogues []*catalogue.Catalogue
	for _, j := range shop.queue {
		if len(j.work.Left.Scope.Lines) == 0 {
			continue
		}
		p, err := planJob(ctx, tx, j)
		if err != nil {
			return in, nil, err
		}
		in.Jobs = append(in.Jobs, p)
		catalogues = append(catalogues, j.work.Catalogue)
	}
	return in, catalogues, nil
}

// planJob is a job with what its waiting costs.
func planJob(ctx context.Context, tx *postgres.Tx, j jobNow) (domain.PlanJob, error) {
	hash := postgres.HashOf(j.work.Catalogue.Canonical())
	p := domain.PlanJob{Job: j.job.ID, Catalogue: hex.EncodeToString(hash[:]), Left: j.work.Left}
	var err error
	if p.TiedUp, err = tiedUp(ctx, tx, j.job.ID); err != nil {
		return p, err
	}
	promises, err := tx.Promises(ctx, j.job.ID)
	if err != nil {
		return p, err
	}
	for _, x := range promises {
		if x.Outcome == nil && (p.Due.IsZero() || x.Due.DaysUntil(p.Due) > 0) {
			p.Due = x.Due
		}
	}
	return p, nil
}

// tiedUp is what a job was expected to cost at its acceptance; nothing for one
// that was accepted before that was kept.
func tiedUp(ctx context.Context, tx *postgres.Tx, job uuid.UUID) (decimal.Decimal, error) {
	body, err := tx.Baseline(ctx, job)
	if faultIs(err, domain.NotFound) {
		return decimal.Zero, nil
	}
	if err != nil {
		return decimal.Zero, err
	}
	b, err := domain.ParseBaseline(body)
	return b.Expected.Total.Likely.Decimal(), err
}
