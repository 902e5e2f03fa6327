package plan

import (
	"context"
	"errors"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/schedule"
)

// Dates are when a scope would be done if it were accepted at an instant.
type Dates struct {
	// Alone is the critical path: the dates as if every person and place were free, by the links
	// alone, which don't ask where the piano is.
	Alone Timeline `json:"alone"`
	// Queued are the dates in a plan with the jobs in progress, the stations and the crew. The
	// earlier a job is in the queue, the more its date weighs; the scope comes last.
	Queued Timeline `json:"queued"`
}

// DatesOf dates a scope that is accepted in the situation: alone, and behind the queue.
func (sit Situation) DatesOf(
	ctx context.Context, c *catalogue.Catalogue, s scope.Scope,
) (Dates, error) {
	var d Dates
	shop, accepted := sit.Shop, sit.At
	free, alone, err := sit.aloneNetwork(c, s)
	if err != nil {
		return d, err
	}
	behind := emptyNetwork(shop)
	names := map[string]bool{}
	for i, q := range sit.Queue {
		if err := behind.add(c, q.inQueue(i, names)); err != nil {
			return d, err
		}
	}
	last := instrumentWork{scope: s, accepted: accepted, order: len(sit.Queue), stops: sit.Stops}
	if err := behind.add(c, last); err != nil {
		return d, err
	}
	err = withinHorizon(func(years int) error {
		axis, err := free.axis(accepted, years)
		if err != nil {
			return err
		}
		if d.Alone, err = alone.criticalPath(axis, accepted); err != nil {
			return err
		}
		queued, err := behind.forecastWithin(ctx, shop, accepted, years, []string{""})
		if err != nil {
			return err
		}
		d.Queued = queued[0]
		return nil
	})
	return d, err
}

// aloneNetwork returns the network of a scope alone, and the shop with nobody away.
func (sit Situation) aloneNetwork(
	c *catalogue.Catalogue, s scope.Scope,
) (Shop, *Network, error) {
	shop := sit.Shop
	shop.Absences = nil
	n := emptyNetwork(shop)
	return shop, n, n.add(c, instrumentWork{scope: s, accepted: sit.At, stops: sit.Stops})
}

// horizons are how many years ahead dates are looked for. Nearly all work ends within the first.
var horizons = []int{2, 10}

// withinHorizon calls compute with as many years as it needs. It returns a Conflict Fault that
// names the work where that doesn't end within the last horizon.
func withinHorizon(compute func(years int) error) error {
	var beyond *schedule.HorizonError
	var closed *schedule.NoHoursError
	for _, years := range horizons {
		err := compute(years)
		beyond, closed = nil, nil
		if !errors.As(err, &beyond) && !errors.As(err, &closed) {
			return err
		}
	}
	most := horizons[len(horizons)-1]
	if closed != nil {
		return domain.Refuse(domain.Conflict,
			"nobody works within the next %d years: check the opening hours and who is away", most)
	}
	return domain.Refuse(domain.Conflict,
		"%q does not end within %d years of opening hours", beyond.Name, most)
}
