package app

import (
	"context"
	"slices"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// ComparedScope is one side of a comparison with its hours, cost and dates.
type ComparedScope struct {
	DrawnScope
	PlannedHours decimal.Decimal // likely person-hours of the planned lines
	Costs        *pricing.Costs  // nil for an actor who may not see money
	Dates        plan.Dates      // if it were accepted now
}

// ScopeComparison is two scopes line by line, with the totals of each.
type ScopeComparison struct {
	Here  ComparedScope
	There ComparedScope
	Lines scope.Comparison
}

// CompareScopes compares two scopes of the workshop, which may belong to different instruments.
func (a *App) CompareScopes(
	ctx context.Context, actor Actor, here, there uuid.UUID,
) (ScopeComparison, error) {
	load := func(ctx context.Context, s postgres.Snapshot) (pair [2]situatedScope, err error) {
		if pair[0], err = a.loadSituated(here)(ctx, s); err != nil {
			return pair, err
		}
		pair[1].cal = pair[0].cal
		pair[1].Versioned, err = a.loadScope(ctx, s.Reader, there)
		return pair, err
	}
	c, err := compute(ctx, a, actor, brief, load, func(ctx context.Context, pair [2]situatedScope) (
		c ScopeComparison, err error,
	) {
		for i, side := range []*ComparedScope{&c.Here, &c.There} {
			v, err := drawStored(ctx, pair[i].Versioned)
			if err != nil {
				return c, err
			}
			if *side, err = evaluate(ctx, actor, v.Value, pair[i].cal); err != nil {
				return c, err
			}
		}
		c.Lines = scope.Compare(c.Here.Scope, c.There.Scope)
		return c, nil
	})
	return c.out, err
}

// evaluate returns a scope with its hours and dates, and with its cost if the actor may see money.
func evaluate(
	ctx context.Context, actor Actor, s DrawnScope, cal plan.Situation,
) (ComparedScope, error) {
	side := ComparedScope{DrawnScope: s, PlannedHours: scope.PlannedHours(s.Catalogue, s.Scope)}
	var err error
	side.Dates, err = s.datedIn(cal).DatesOf(ctx, s.Catalogue, s.Scope)
	if err != nil {
		return side, err
	}
	if !actor.Role.May(domain.ReadMoney) {
		return side, nil
	}
	e, err := s.estimate()
	side.Costs = &e.Costs
	return side, err
}

// MakeOrBuy returns the lines of a stored scope that an outside firm could do, each in both ways.
func (a *App) MakeOrBuy(
	ctx context.Context, actor Actor, scopeID uuid.UUID,
) ([]plan.MakeOrBuy, error) {
	c, err := compute(ctx, a, actor, brief, a.loadSituated(scopeID), func(
		ctx context.Context, s situatedScope,
	) ([]plan.MakeOrBuy, error) {
		v, err := drawStored(ctx, s.Versioned)
		if err != nil {
			return nil, err
		}
		return plan.MakeOrBuyLines(ctx, v.Value.drawing(), v.Value.datedIn(s.cal))
	})
	return c.out, err
}

// Consequences returns what the edits of the scope cause beyond what they say.
func (s DrawnScope) Consequences() (scope.Consequences, error) {
	return s.drawing().ConsequencesOf(s.Scope)
}

// drawing returns the inputs that the scope was drawn from.
func (s DrawnScope) drawing() scope.Inputs {
	in := scope.Inputs{
		Catalogue: s.Catalogue, Instrument: s.Instrument, Judgements: s.Judgements,
		Terms: s.Workshop.Terms, Depth: s.Depth,
	}
	for i, e := range s.Edits {
		if !slices.ContainsFunc(s.Unfit, func(x scope.LeftEdit) bool { return x.Position == i }) {
			in.Edits = append(in.Edits, e)
		}
	}
	return in
}

// calendar returns what the dates of a scope accepted now depend on: the shop and the jobs in
// progress.
func (a *App) calendar(ctx context.Context, s postgres.Snapshot) (plan.Situation, error) {
	shop, err := a.loadShop(ctx, s.Reader)
	if err != nil {
		return plan.Situation{}, err
	}
	zone, err := zoneOf(shop.workshop)
	return plan.Situation{Shop: shop.at(zone), At: s.At, Queue: shop.remainingWork()}, err
}
