package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/cost"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// CostToGo lists the ways to go on with a job, none of a closed one. What has been spent is kept
// apart from them, since no decision changes it; of a closed job it is what the work came to.
type CostToGo struct {
	Job        job.Job
	Currency   string
	SpentHours pricing.Hours
	Spent      money.Amount // from the job's own figures; no posted cost
	// Before is what old records say was spent before the job was taken over. The hours done until
	// then count in SpentHours and Spent too. nil: not taken over, or not recorded.
	Before *money.Amount
	Ways   []job.Alternative
}

// CostToGo compares the ways to go on with a job from here. A client's instrument isn't ours to
// sell, so that nothing is left over from its ways.
func (a *App) CostToGo(
	ctx context.Context, actor Actor, jb uuid.UUID, q job.AlternativesInput,
) (CostToGo, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return CostToGo{}, err
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f costToGoFile, err error) {
		j, err := s.Job(ctx, jb)
		if err != nil {
			return f, err
		}
		if f.jobData, err = a.loadJob(ctx, s.Reader, j.Value); err != nil {
			return f, err
		}
		if err := q.Check(j.Value.State, f.instrument.Owner); err != nil {
			return f, err
		}
		f.stored = j.Value
		if f.opening, f.taken, err = s.Opening(ctx, jb); err != nil || j.Value.State == job.Closed {
			return f, err
		}
		if f.bought, err = boughtAs(ctx, s.Reader, f, q.BoughtFor); err != nil {
			return f, err
		}
		f.shop, err = a.loadShop(ctx, s.Reader)
		return f, err
	}
	c, err := compute(ctx, a, actor, brief, load, func(ctx context.Context, f costToGoFile) (
		CostToGo, error,
	) {
		return a.costToGo(ctx, f, q)
	})
	return c.out, err
}

// costToGoFile is a job with what its ways to go on depend on.
type costToGoFile struct {
	jobData
	stored  job.Job
	opening postgres.Opening // what old records say, where it was taken over
	taken   bool
	shop    shopState
	bought  job.Bought
}

func (a *App) costToGo(
	ctx context.Context, f costToGoFile, q job.AlternativesInput,
) (CostToGo, error) {
	out := CostToGo{Job: f.stored, Currency: f.workshop.Terms.Currency}
	spent, err := job.CostSpent(f.catalogue, f.instrument, f.judgements, f.job, f.workshop.Terms)
	if err != nil {
		return out, err
	}
	out.SpentHours, out.Spent = spent.Hours, spent.Costs.Total.Likely
	if f.taken {
		out.addOpening(f.opening)
	}
	if f.stored.State == job.Closed {
		return out, nil
	}
	out.Ways, err = a.waysOn(ctx, f, q)
	return out, err
}

// waysOn returns the ways to go on that q asks about.
func (a *App) waysOn(
	ctx context.Context, f costToGoFile, q job.AlternativesInput,
) ([]job.Alternative, error) {
	var ways []job.Alternative
	for _, way := range []func(
		context.Context, costToGoFile, job.AlternativesInput,
	) (job.Alternative, error){a.goOn, a.shallower, a.partOut} {
		w, err := way(ctx, f, q)
		if err != nil {
			return nil, err
		}
		if w.Kind != "" {
			ways = append(ways, w)
		}
	}
	return ways, nil
}

// addOpening adds what old records say that a job had cost when it was taken over.
func (c *CostToGo) addOpening(o postgres.Opening) {
	if o.CostSoFar != nil {
		before := money.FromMinor(*o.CostSoFar, c.Spent.Currency())
		c.Before = &before
	}
}

// boughtAs returns what the tax on a sale follows from: the price that is given, or else the
// recorded purchase, the offer by which the instrument was bought or the old records.
func boughtAs(
	ctx context.Context, r postgres.Reader, f costToGoFile, given *decimal.Decimal,
) (job.Bought, error) {
	if given != nil {
		return job.Bought{Price: given, From: "as given in the request"}, nil
	}
	documents, err := r.StandingDocuments(ctx, f.instrument.ID, cost.Purchased)
	if err != nil {
		return job.Bought{}, err
	}
	if len(documents) > 0 {
		if margin := documents[0].MarginPrice; margin != nil {
			price := margin.Decimal()
			return job.Bought{
				Price: &price, From: "from the purchase that is recorded, with its premium",
			}, nil
		}
		return job.Bought{NoMargin: true}, nil
	}
	if f.taken && f.opening.OriginalPrice != nil {
		c, err := money.ParseCurrency(f.workshop.Terms.Currency)
		price := money.FromMinor(*f.opening.OriginalPrice, c).Decimal()
		return job.Bought{Price: &price, From: "from the old records"}, err
	}
	agreed, err := r.BoughtFor(ctx, f.instrument.ID)
	if err != nil || agreed == nil {
		return job.Bought{}, err
	}
	price := agreed.Price.Decimal()
	return job.Bought{
		Price: &price, From: "from what was recorded when it was bought or taken over",
		NoMargin: len(agreed.OpenRegimes) > 0 &&
			!slices.Contains(agreed.OpenRegimes, domain.MarginTax),
	}, nil
}

// goOn is the way of finishing as planned.
func (a *App) goOn(
	ctx context.Context, f costToGoFile, q job.AlternativesInput,
) (job.Alternative, error) {
	w := job.Alternative{Kind: job.GoOn, Depth: f.job.Depth}
	return a.remainder(ctx, w, f, f.job, q, q.Sale != nil)
}

// shallower is the way of finishing at the shallower depth in q; none if q names no depth.
func (a *App) shallower(
	ctx context.Context, f costToGoFile, q job.AlternativesInput,
) (job.Alternative, error) {
	if q.Depth == "" {
		return job.Alternative{}, nil
	}
	base := slices.Concat(f.scope.Edits, f.job.Edits)
	s, err := scope.Draw(
		f.catalogue, f.instrument, f.judgements, q.Depth, base, f.workshop.Terms.PointOdds(),
	)
	if err != nil {
		return job.Alternative{}, err
	}
	at, leftOpen := f.job.AtDepth(f.catalogue, s)
	w := job.Alternative{Kind: job.Shallow, Depth: q.Depth, LeftOpen: leftOpen}
	q.Sale = q.DepthSale
	return a.remainder(ctx, w, f, at, q, q.DepthSale != nil)
}

// remainder adds the cost and dates of the rest of j to w, and the sale if there is one.
func (a *App) remainder(
	ctx context.Context, w job.Alternative, f costToGoFile, j job.Job, q job.AlternativesInput,
	sold bool,
) (job.Alternative, error) {
	e, err := job.CostToGo(f.catalogue, f.instrument, f.judgements, j, f.workshop.Terms)
	if err != nil {
		return w, err
	}
	w.Hours, w.CostToGo = e.Hours.Likely, e.Costs.Total
	shop := f.shop
	shop.queue = slices.Clone(shop.queue)
	for i := range shop.queue {
		if x := &shop.queue[i]; x.job.ID == j.ID {
			x.work.Left = x.remaining(j, f.instrument, f.zone)
		}
	}
	dates, err := datesIfAny(shop.forecast(ctx, a.now()))
	if err != nil {
		return w, err
	}
	w.Ready = dates[j.ID].Ready
	if !sold {
		return w, nil
	}
	err = w.AddSale(*q.Sale, f.bought, f.workshop.Terms, domain.DateOf(a.now().In(f.zone)), f.zone)
	return w, err
}

// partOut is the way of taking the instrument apart for its parts; none if q names no price for
// them.
func (a *App) partOut(
	_ context.Context, f costToGoFile, q job.AlternativesInput,
) (job.Alternative, error) {
	if q.PartsSale == nil {
		return job.Alternative{}, nil
	}
	w := job.Alternative{Kind: job.PartOut, Hours: q.PartsHours}
	var err error
	if w.CostToGo, err = job.TakingApart(q.PartsHours, f.workshop.Terms); err != nil {
		return w, err
	}
	err = w.AddSale(
		*q.PartsSale, f.bought, f.workshop.Terms, domain.DateOf(a.now().In(f.zone)), f.zone,
	)
	return w, err
}
