package app

import (
	"context"

	"bentside/domain"
	"bentside/domain/plan"

	"github.com/google/uuid"
)

// ScopeChoices are the choices that come up in a scope.
type ScopeChoices struct {
	DrawnScope
	Choices []plan.Choice
	// Assumptions are what the dates rest on without anybody having confirmed it, and, for an actor
	// who may see money, the estimates.
	Assumptions []domain.Assumption
}

// Choices returns the choices that come up in a stored scope, with their options side by side.
func (a *App) Choices(ctx context.Context, actor Actor, id uuid.UUID) (ScopeChoices, error) {
	c, err := compute(ctx, a, actor, long, a.loadSituated(id), func(
		ctx context.Context, s situatedScope,
	) (ScopeChoices, error) {
		v, err := drawStored(ctx, s.Versioned)
		if err != nil {
			return ScopeChoices{}, err
		}
		list, err := plan.Choices(ctx, v.Value.drawing(), v.Value.datedIn(s.cal))
		return ScopeChoices{DrawnScope: v.Value, Choices: list}, err
	})
	if err != nil {
		return ScopeChoices{}, err
	}
	out := c.out
	out.Assumptions = c.in.cal.Shop.Assumptions()
	if !actor.Role.May(domain.ReadMoney) {
		return out, nil
	}
	for _, x := range out.Choices {
		for _, o := range x.Options {
			if o.Settled {
				more, err := a.EstimateAssumes(ctx, actor, out.DrawnScope, o.Estimate)
				out.Assumptions = append(out.Assumptions, more...)
				return out, err
			}
		}
	}
	return out, nil
}
