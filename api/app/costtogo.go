package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/google/uuid"
)

// CostToGo is the ways to go on with an instrument of our own, and apart from
// them what was spent: it is the same whatever is decided, and is in none.
type CostToGo struct {
	Currency   string
	SpentHours pricing.Hours
	Spent      money.Amount // by the job's own figures; no posted cost
	// Before is what old records say was spent before the job was taken over; its
	// hours done then are in SpentHours and Spent too. nil: not taken over, or
	// nothing is said.
	Before *money.Amount
	Ways   []domain.Remainder
}

// CostToGo works out the ways to go on with a job from here.
func (a *App) CostToGo(ctx context.Context, actor Actor, job uuid.UUID, q domain.WayOutQuestion) (CostToGo, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return CostToGo{}, err
	}
	r := a.Read(ctx, actor)
	j, err := r.Job(ctx, job)
	if err != nil {
		return CostToGo{}, err
	}
	if _, err := j.Value.State.After(domain.ChangeJob); err != nil {
		return CostToGo{}, err
	}
	file, err := a.openFile(ctx, r, j.Value)
	if err != nil {
		return CostToGo{}, err
	}
	if file.instrument.Owner == domain.Client {
		return CostToGo{}, domain.Refuse(domain.Conflict, "the instrument is a client's: propose a variation instead")
	}
	out := CostToGo{Currency: file.workshop.Terms.Currency}
	spent, err := domain.Spent(file.catalogue, file.instrument, file.judgements, file.job, file.workshop.Terms)
	if err != nil {
		return out, err
	}
	out.SpentHours, out.Spent = spent.Hours, spent.Costs.Total.Likely
	if err := out.addOpening(ctx, r, &q, job); err != nil {
		return out, err
	}
	shop, err := a.shopNow(ctx, r)
	if err != nil {
		return out, err
	}
	for _, way := range []func(jobFile, shopState, domain.WayOutQuestion) (domain.Remainder, error){a.goOn, a.shallower, a.partOut} {
		w, err := way(file, shop, q)
		if err != nil {
			return out, err
		}
		if w.Way != "" {
			out.Ways = append(out.Ways, w)
		}
	}
	return out, nil
}

// addOpening adds what old records say of a job that was taken over: what it
// had cost, and its price, which a margin is reckoned from where nobody says
// otherwise.
func (c *CostToGo) addOpening(ctx context.Context, r postgres.Reader, q *domain.WayOutQuestion, job uuid.UUID) error {
	o, taken, err := r.Opening(ctx, job)
	if err != nil || !taken {
		return err
	}
	currency := c.Spent.Currency()
	if o.CostSoFar != nil {
		before := money.FromMinor(*o.CostSoFar, currency)
		c.Before = &before
	}
	if o.OriginalPrice != nil && q.BoughtFor == nil {
		price := money.FromMinor(*o.OriginalPrice, currency).Decimal()
		q.BoughtFor = &price
	}
	return nil
}

// goOn is to finish as planned.
func (a *App) goOn(f jobFile, shop shopState, q domain.WayOutQuestion) (domain.Remainder, error) {
	w := domain.Remainder{Way: domain.GoOn, Depth: f.job.Depth}
	return a.remainder(w, f, shop, f.job, q, q.Sale != nil)
}

// shallower is to finish at a shallower depth.
func (a *App) shallower(f jobFile, shop shopState, q domain.WayOutQuestion) (domain.Remainder, error) {
	if q.Depth == "" {
		return domain.Remainder{}, nil
	}
	base := slices.Concat(f.scope.Edits, f.job.Edits)
	s, err := domain.Draw(f.catalogue, f.instrument, f.judgements, q.Depth, base, f.workshop.Terms.UnknownOdds)
	if err != nil {
		return domain.Remainder{}, err
	}
	at, leftOpen := f.job.At(f.catalogue, s)
	w := domain.Remainder{Way: domain.Shallow, Depth: q.Depth, LeftOpen: leftOpen}
	q.Sale = q.DepthSale
	return a.remainder(w, f, shop, at, q, q.DepthSale != nil)
}

// remainder costs and dates what is left of a job.
func (a *App) remainder(w domain.Remainder, f jobFile, shop shopState, j domain.Job, q domain.WayOutQuestion, sold bool) (domain.Remainder, error) {
	e, err := domain.ToGo(f.catalogue, f.instrument, f.judgements, j, f.workshop.Terms)
	if err != nil {
		return w, err
	}
	w.Hours, w.CostToGo = e.Hours.Likely, e.Costs.Total
	shop.queue = slices.Clone(shop.queue)
	for i := range shop.queue {
		if x := &shop.queue[i]; x.job.ID == j.ID {
			x.work.Left = domain.LeftOf(j, f.instrument, f.zone)
		}
	}
	dates, err := dated(shop.forecast(a.now()))
	if err != nil {
		return w, err
	}
	w.Ready = dates[j.ID].Ready
	if !sold {
		return w, nil
	}
	err = w.Reckon(*q.Sale, q.BoughtFor, f.workshop.Terms, domain.DateOf(a.now().In(f.zone)), f.zone)
	return w, err
}

// partOut is to take the instrument apart for its parts.
func (a *App) partOut(f jobFile, _ shopState, q domain.WayOutQuestion) (domain.Remainder, error) {
	if q.PartsSale == nil {
		return domain.Remainder{}, nil
	}
	w := domain.Remainder{Way: domain.PartOut, Hours: q.PartsHours}
	var err error
	if w.CostToGo, err = domain.TakingApart(q.PartsHours, f.workshop.Terms); err != nil {
		return w, err
	}
	err = w.Reckon(*q.PartsSale, q.BoughtFor, f.workshop.Terms, domain.DateOf(a.now().In(f.zone)), f.zone)
	return w, err
}
