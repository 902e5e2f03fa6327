package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/cost"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// InstrumentCost is what an instrument has cost, on all its jobs and on none.
type InstrumentCost struct {
	Instrument instrument.Instrument
	Currency   money.Currency
	Spent      cost.Views
	Sums       []cost.Sum
	Committed  money.Amount
	// Purchase is the document of its purchase; nil: none was recorded.
	Purchase *cost.Document
	Jobs     []JobCost // in queue order, closed ones too
	// AtCompletion is what it comes to once its open jobs are done.
	AtCompletion pricing.Range
}

// JobCost is what a job has cost and will cost.
type JobCost struct {
	Job      job.Job
	Currency money.Currency
	Sums     []cost.Sum
	// BilledBefore is what had been billed for it when the books were opened; nil: no opening says it.
	BilledBefore *money.Amount
	cost.Forecast
}

// InstrumentCost returns what an instrument has cost. It reads kept totals, so that it takes the
// same time whatever the workshop has recorded of others.
func (a *App) InstrumentCost(
	ctx context.Context, actor Actor, id uuid.UUID,
) (InstrumentCost, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return InstrumentCost{}, err
	}
	type file struct {
		InstrumentCost
		jobs []costFile
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f file, err error) {
		i, err := s.Instrument(ctx, id)
		if err != nil {
			return f, err
		}
		f.Instrument = i.Value
		w, err := s.Workshop(ctx)
		if err != nil {
			return f, err
		}
		if f.Currency, err = money.ParseCurrency(w.Value.Terms.Currency); err != nil {
			return f, err
		}
		totals, err := s.CostTotals(ctx, id)
		if err != nil {
			return f, err
		}
		f.Spent, f.Sums = cost.InViews(totals, f.Currency), cost.Sums(totals, f.Currency)
		bought, err := s.StandingDocuments(ctx, id, cost.Purchased)
		if err != nil {
			return f, err
		}
		if len(bought) > 0 {
			f.Purchase = &bought[0]
		}
		jobs, err := s.JobsOn(ctx, id)
		if err != nil {
			return f, err
		}
		for _, j := range jobs {
			x, err := a.loadCost(ctx, s, j.Value)
			if err != nil {
				return f, err
			}
			f.jobs = append(f.jobs, x)
		}
		return f, nil
	}
	c, err := compute(ctx, a, actor, brief, load, func(_ context.Context, f file) (
		InstrumentCost, error,
	) {
		out := f.InstrumentCost
		out.Committed = money.Zero(f.Currency)
		out.AtCompletion = pricing.Certain(out.Spent.Management)
		for _, x := range f.jobs {
			j, err := x.cost()
			if err != nil {
				return out, err
			}
			out.Jobs = append(out.Jobs, j)
			out.Committed = out.Committed.Add(j.Committed)
			sure := pricing.Certain(j.Pending.Add(j.Committed))
			out.AtCompletion = out.AtCompletion.Add(sure).Add(j.ToGo)
		}
		return out, nil
	})
	return c.out, err
}

// JobCost returns what a job has cost and will cost.
func (a *App) JobCost(ctx context.Context, actor Actor, id uuid.UUID) (JobCost, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return JobCost{}, err
	}
	load := func(ctx context.Context, s postgres.Snapshot) (costFile, error) {
		j, err := s.Job(ctx, id)
		if err != nil {
			return costFile{}, err
		}
		return a.loadCost(ctx, s, j.Value)
	}
	c, err := compute(ctx, a, actor, brief, load, func(_ context.Context, f costFile) (
		JobCost, error,
	) {
		return f.cost()
	})
	return c.out, err
}

// costFile is a job with everything that its cost follows from.
type costFile struct {
	jobData
	stored   job.Job
	currency money.Currency
	totals   []cost.Total
	outside  []cost.Document // that count
	pending  []cost.Pending
	now      cost.Rates
	baseline *job.Baseline
	billed   *money.Amount // before the books were opened
}

func (a *App) loadCost(
	ctx context.Context, s postgres.Snapshot, j job.Job,
) (f costFile, err error) {
	f.stored = j
	if f.jobData, err = a.loadJob(ctx, s.Reader, j); err != nil {
		return f, err
	}
	if f.currency, err = money.ParseCurrency(f.workshop.Terms.Currency); err != nil {
		return f, err
	}
	if f.totals, err = s.JobCostTotals(ctx, j.ID); err != nil {
		return f, err
	}
	if f.billed, err = s.BilledBefore(ctx, j.ID); err != nil {
		return f, err
	}
	documents, err := s.StandingDocuments(
		ctx, j.Instrument, cost.OutsideAgreed, cost.OutsideAccrued, cost.OutsideBilled,
	)
	if err != nil {
		return f, err
	}
	f.outside = slices.DeleteFunc(documents, func(d cost.Document) bool { return d.Job != j.ID })
	rates := newRatesAt(s.Reader, f.workshop)
	today := domain.DateOf(s.At.In(f.zone))
	if f.now, err = rates.on(ctx, today); err != nil {
		return f, err
	}
	if f.pending, err = a.pendingCost(ctx, s.Reader, j.ID, coster{
		s.Reader, rates, f.currency, today, map[uuid.UUID]worked{},
	}); err != nil {
		return f, err
	}
	body, err := s.Baseline(ctx, j.ID)
	if faultIs(err, domain.NotFound) {
		return f, nil // accepted before one was kept
	}
	if err != nil {
		return f, err
	}
	b, err := job.ParseBaseline(body)
	f.baseline = &b
	return f, err
}

// pendingCost returns what the hours on a job will cost that wait for their approval.
func (a *App) pendingCost(
	ctx context.Context, r postgres.Reader, id uuid.UUID, in coster,
) ([]cost.Pending, error) {
	entries, err := r.PendingHoursOn(ctx, id)
	if err != nil || len(entries) == 0 {
		return nil, err
	}
	lines, err := a.costHours(ctx, in, entries)
	var list []cost.Pending
	for _, l := range lines {
		p := cost.Pending{Operation: l.Operation, Purpose: l.Purpose, Amount: l.Amount}
		if l.Kind == cost.Overhead { // each entry has one line of it
			p.Minutes = l.Minutes
		}
		list = append(list, p)
	}
	return list, err
}

// cost works out what the job has cost and will cost.
func (f costFile) cost() (JobCost, error) {
	p := cost.Progress{
		Currency: f.currency, Totals: f.totals, Pending: f.pending, Committed: f.committed(),
		Tasks: f.job.Tasks, Standard: cost.FromSettings(f.estimatedWith()),
	}
	var err error
	open := f.job
	if f.stored.State == job.Closed {
		open.Tasks = nil // nothing is to go
	}
	if p.ToGo, err = f.toGo(open); err != nil {
		return JobCost{}, err
	}
	if p.Planned, err = job.CostPlanned(f.catalogue, f.instrument, f.judgements, f.job,
		cost.FromSettings(f.estimatedWith()).Terms(f.workshop.Terms)); err != nil {
		return JobCost{}, err
	}
	if f.baseline != nil {
		p.Baseline = &f.baseline.Expected
	}
	out := JobCost{
		Job: f.stored, Currency: f.currency, Sums: cost.Sums(f.totals, f.currency),
		BilledBefore: f.billed,
	}
	out.Forecast, err = p.Forecast()
	return out, err
}

// committed returns what outside work comes to that was agreed and is neither accrued nor billed.
func (f costFile) committed() money.Amount {
	sum := money.Zero(f.currency)
	for _, d := range f.outside {
		if d.Kind == cost.OutsideAgreed {
			sum = sum.Add(d.Amount)
		}
	}
	return sum
}

// toGo returns what the open tasks of a job come to beyond what was posted or promised to somebody
// for them.
func (f costFile) toGo(open job.Job) (pricing.Estimate, error) {
	used := job.Used{
		Parts: map[catalogue.Code]money.Amount{}, Outside: map[catalogue.Code]bool{},
	}
	for _, d := range f.outside {
		used.Outside[d.Operation] = true
	}
	for _, t := range f.totals {
		if t.Kind == cost.Parts && t.Purpose == cost.Work { // what was spoilt is needed once more
			if used.Parts[t.Operation].Currency().IsZero() {
				used.Parts[t.Operation] = money.Zero(f.currency)
			}
			used.Parts[t.Operation] = used.Parts[t.Operation].Add(t.Amount)
		}
	}
	return job.CostToGoBeyond(f.catalogue, f.instrument, f.judgements, open,
		f.now.Terms(f.workshop.Terms), used)
}

// left returns what the work is expected to cost from here on, hours that wait for their approval
// included; of a job that was given up, what it would still have cost.
func (f costFile) left() (money.Amount, error) {
	estimate, err := f.toGo(f.job)
	if err != nil {
		return money.Amount{}, err
	}
	sum := f.committed().Add(estimate.Costs.Total.Expected)
	for _, p := range f.pending {
		if cost.IsEffort(p.Purpose) {
			sum = sum.Add(p.Amount)
		}
	}
	return sum, nil
}

// estimatedWith returns the settings with the rates that the accepted estimate was made with; where
// they weren't kept, those of now.
func (f costFile) estimatedWith() domain.Terms {
	terms := f.workshop.Terms
	if f.baseline != nil && f.baseline.Rates != nil {
		terms.LabourRates, terms.OverheadRate = f.baseline.Rates.Labour, f.baseline.Rates.Overhead
	}
	return terms
}

// WorkInProgress is what the open jobs had cost at the end of a day, as the books had it and as far
// as is known now, with what makes the difference.
type WorkInProgress struct {
	On       domain.Date
	Currency money.Currency
	Jobs     []cost.InProgress // in queue order
	cost.Reconciliation
	LateLines   []cost.Line // those that come to Late, at most MostLate
	LateLeftOut bool        // there are more
}

// MostLate is the most lines that are listed as late.
const MostLate = 1000

// WorkInProgress returns the work in progress at the end of a day, today where none is given.
func (a *App) WorkInProgress(
	ctx context.Context, actor Actor, day domain.Date,
) (WorkInProgress, error) {
	out := WorkInProgress{On: day}
	if err := actor.Require(domain.ReadMoney); err != nil {
		return out, err
	}
	err := a.store.Snapshot(ctx, actor.Workshop, a.now(), func(s postgres.Snapshot) error {
		w, err := s.Workshop(ctx)
		if err != nil {
			return err
		}
		if out.Currency, err = money.ParseCurrency(w.Value.Terms.Currency); err != nil {
			return err
		}
		zone, err := zoneOf(w.Value)
		if err != nil {
			return err
		}
		today := domain.DateOf(s.At.In(zone))
		if day.IsZero() {
			out.On = today
		} else if day.DaysUntil(today) < 0 {
			return domain.RefuseAt(domain.Invalid, "#/query/as_of", "must be today, %s, or earlier", today)
		}
		if out.Jobs, err = s.WorkInProgress(ctx, out.On); err != nil {
			return err
		}
		out.Reconciliation = cost.Reconcile(out.Jobs, out.Currency)
		var both []uuid.UUID
		for _, j := range out.Jobs {
			if j.Posted != nil && j.Known != nil {
				both = append(both, j.Job)
			}
		}
		out.LateLines, err = s.LateLines(ctx, out.On, both, MostLate+1)
		if out.LateLeftOut = len(out.LateLines) > MostLate; out.LateLeftOut {
			out.LateLines = out.LateLines[:MostLate]
		}
		return err
	})
	return out, err
}
