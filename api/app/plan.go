package app

import (
	"context"
	"encoding/hex"
	"fmt"
	"time"

	"bentside/api/app/turns"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/plan"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// StoredPlan is a stored plan with its result.
type StoredPlan struct {
	postgres.Plan
	Result      plan.Result
	Assumptions []domain.Assumption  // that nobody had entered or confirmed then
	Moved       *postgres.LaterEvent // what changed first since its snapshot; nil: nothing
}

// PlanRequest says how much effort to spend on a plan.
type PlanRequest struct {
	Schedules int // to try
	Seed      int64
	Limit     time.Duration // whole seconds
}

// MakePlan plans all jobs together from now on and stores the plan with all its inputs, as of the
// moment at which they were read. When the time limit is reached, it stores the best plan so far. A
// plan that fails verification is never stored.
func (a *App) MakePlan(ctx context.Context, actor Actor, q PlanRequest) (StoredPlan, error) {
	var made StoredPlan
	load := func(ctx context.Context, s postgres.Snapshot) (planFile, error) {
		f, err := a.planInputs(ctx, s)
		f.Schedules, f.Seed, f.Seconds = q.Schedules, uint64(q.Seed), int(q.Limit/time.Second) //nolint:gosec // any bits will do as a seed
		return f, err
	}
	search := func(ctx context.Context, f planFile) (plan.Result, error) {
		ctx, cancel := a.turns.Search(ctx, q.Limit)
		defer cancel()
		zone, err := zoneOf(f.Workshop)
		if err != nil {
			return plan.Result{}, err
		}
		return plan.Compute(ctx, f.Inputs, f.catalogues, zone, turns.Width(ctx))
	}
	err := computeAndWrite(ctx, a, actor, domain.WriteJobs, long, load, search, func(
		tx *postgres.Tx, c computed[planFile, plan.Result],
	) (err error) {
		made = StoredPlan{Result: c.out, Assumptions: c.in.Assumptions(), Plan: postgres.Plan{
			ID: newID(uuid.Nil), Engine: c.in.Engine, Schedules: q.Schedules, Seed: q.Seed,
			CreatedAt: tx.Now(), AsOf: &c.Position,
		}}
		if made.Inputs, err = tx.KeepDocument(ctx, c.in.Canonical()); err != nil {
			return err
		}
		if made.Plan.Result, err = tx.KeepDocument(ctx, made.Result.Canonical()); err != nil {
			return err
		}
		if made.Moved, err = planMoved(ctx, tx.Reader, made.Plan, c.in.Inputs); err != nil {
			return err
		}
		tx.Note(domain.PlanMade, made.ID, planNoted(made))
		return tx.AddPlan(ctx, made.Plan)
	})
	return made, err
}

// planMoved returns what changed first since the snapshot of a plan, or nil.
func planMoved(
	ctx context.Context, r postgres.Reader, p postgres.Plan, in plan.Inputs,
) (*postgres.LaterEvent, error) {
	if p.AsOf == nil {
		return nil, nil //nolint:nilnil // it isn't known, and was never told
	}
	return r.FirstMove(ctx, *p.AsOf, postgres.Rests{
		On: plan.RestsOn, OnQueued: plan.DatesRestOnQueued,
		OnParts: plan.DatesRestOnParts, Parts: in.Parts(),
	})
}

// LatestPlan returns the newest plan of the whole shop.
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
	if s.Result, err = plan.ParseResult(body); err != nil {
		return s, fmt.Errorf("read plan %s: %w", p.ID, err)
	}
	if body, err = r.Document(ctx, p.Inputs); err != nil {
		return s, err
	}
	in, err := plan.ParseInputs(body)
	if err != nil {
		return s, fmt.Errorf("read the inputs of plan %s: %w", p.ID, err)
	}
	s.Assumptions = in.Assumptions()
	s.Moved, err = planMoved(ctx, r, p, in)
	return s, err
}

// planFile is everything that a plan depends on, with the catalogue of each job.
type planFile struct {
	plan.Inputs
	catalogues []*catalogue.Catalogue
}

// planInputs loads everything that a plan depends on.
func (a *App) planInputs(ctx context.Context, s postgres.Snapshot) (planFile, error) {
	shop, err := a.loadShop(ctx, s.Reader)
	if err != nil {
		return planFile{}, err
	}
	f := planFile{Inputs: plan.Inputs{
		Engine: bid.Engine, At: s.At, Workshop: shop.workshop, Stations: shop.stations,
		People: shop.people, Absences: shop.absences,
		Jobs: []plan.JobInput{},
	}}
	for _, j := range shop.queue {
		if len(j.work.Left.Scope.Lines) == 0 {
			continue
		}
		p, err := planJob(ctx, s.Reader, j)
		if err != nil {
			return f, err
		}
		f.Jobs = append(f.Jobs, p)
		f.catalogues = append(f.catalogues, j.work.Catalogue)
	}
	return f, nil
}

// planJob returns the planner's input for a job: its remaining work, due date and tied-up capital.
func planJob(ctx context.Context, r postgres.Reader, j queuedJob) (plan.JobInput, error) {
	p := plan.JobInput{
		Job: j.job.ID, Catalogue: hex.EncodeToString(j.catalogue[:]), Left: j.work.Left,
	}
	var err error
	if p.TiedUp, err = expectedCost(ctx, r, j.job.ID); err != nil {
		return p, err
	}
	promises, err := r.Promises(ctx, j.job.ID, postgres.Whole)
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

// expectedCost returns what a job was expected to cost when it was accepted, or zero if it was
// accepted before baselines were stored.
func expectedCost(
	ctx context.Context, r postgres.Reader, j uuid.UUID,
) (decimal.Decimal, error) {
	body, err := r.Baseline(ctx, j)
	if faultIs(err, domain.NotFound) {
		return decimal.Zero, nil
	}
	if err != nil {
		return decimal.Zero, err
	}
	b, err := job.ParseBaseline(body)
	return b.Expected.Total.Likely.Decimal(), err
}
