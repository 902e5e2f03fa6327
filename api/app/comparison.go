package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// ComparedScope is one side of a comparison with what it comes to.
type ComparedScope struct {
	DrawnScope
	PlannedHours decimal.Decimal // likely person-hours of the planned lines
	Costs        *pricing.Costs  // nil for who sees no money
	Dates        domain.Dates    // if it were accepted now
}

// ScopeComparison is two scopes line by line, with the totals of each.
type ScopeComparison struct {
	Here  ComparedScope
	There ComparedScope
	Lines domain.Comparison
}

// CompareScopes holds two scopes of the workshop against each other; they may
// be of two instruments.
func (a *App) CompareScopes(ctx context.Context, actor Actor, here, there uuid.UUID) (ScopeComparison, error) {
	var c ScopeComparison
	first, err := a.Scope(ctx, actor, here)
	if err != nil {
		return c, err
	}
	second, err := a.Scope(ctx, actor, there)
	if err != nil {
		return c, err
	}
	cal, err := a.calendar(ctx, a.Read(ctx, actor))
	if err != nil {
		return c, err
	}
	if c.Here, err = compared(actor, first.Value, cal); err != nil {
		return c, err
	}
	if c.There, err = compared(actor, second.Value, cal); err != nil {
		return c, err
	}
	c.Lines = domain.Compare(c.Here.Scope, c.There.Scope)
	return c, nil
}

// compared is what a scope comes to: hours, dates, and money for who may see it.
func compared(actor Actor, s DrawnScope, cal domain.Calendar) (ComparedScope, error) {
	side := ComparedScope{DrawnScope: s, PlannedHours: domain.PlannedHours(s.Catalogue, s.Scope)}
	var err error
	if side.Dates, err = domain.DatesOf(s.Catalogue, s.Scope, cal.Shop, cal.At, cal.Queue); err != nil {
		return side, err
	}
	if !actor.Role.May(domain.ReadMoney) {
		return side, nil
	}
	e, err := domain.EstimateScope(s.Catalogue, s.Instrument, s.Judgements, s.Scope, s.Workshop.Terms)
	side.Costs = &e.Costs
	return side, err
}

// MakeOrBuy is every line of a stored scope that a firm can do, both ways side
// by side.
func (a *App) MakeOrBuy(ctx context.Context, actor Actor, scope uuid.UUID) ([]domain.MakeOrBuy, error) {
	s, err := a.Scope(ctx, actor, scope)
	if err != nil {
		return nil, err
	}
	cal, err := a.calendar(ctx, a.Read(ctx, actor))
	if err != nil {
		return nil, err
	}
	return domain.MakeOrBuyOf(s.Value.drawing(), cal)
}

// drawing is what the scope was drawn from.
func (s DrawnScope) drawing() domain.Drawing {
	return domain.Drawing{
		Catalogue: s.Catalogue, Instrument: s.Instrument, Judgements: s.Judgements, Terms: s.Workshop.Terms,
		Depth: s.Depth, Edits: s.Edits,
	}
}

// calendar is what a scope is dated on that is accepted now: the shop, and the
// jobs in progress.
func (a *App) calendar(ctx context.Context, r postgres.Reader) (domain.Calendar, error) {
	shop, err := a.shopNow(ctx, r)
	if err != nil {
		return domain.Calendar{}, err
	}
	zone, err := zoneOf(shop.workshop)
	return domain.Calendar{Shop: shop.at(zone), At: a.now(), Queue: shop.lefts()}, err
}
