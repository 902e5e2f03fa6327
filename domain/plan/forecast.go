package plan

import (
	"context"
	"time"

	"bentside/domain/catalogue"
)

// JobWork is what is left of a job, with the revision of the catalogue that the job is pinned to.
type JobWork struct {
	Catalogue *catalogue.Catalogue
	Left      QueuedWork
}

// Forecast dates what is left of every job from an instant on, in a plan with the stations and the
// crew: the earlier a job is in the queue, the more its date weighs. Tasks that were begun, of
// whatever job, go on before all others. A job with nothing left is ready at once.
func Forecast(
	ctx context.Context, jobs []JobWork, shop Shop, at time.Time,
) ([]Timeline, error) {
	n := emptyNetwork(shop)
	taken := map[string]bool{}
	names := make([]string, len(jobs))
	for i, j := range jobs {
		work := j.Left.inQueue(i, taken)
		names[i] = work.name
		if err := n.add(j.Catalogue, work); err != nil {
			return nil, err
		}
	}
	var list []Timeline
	err := withinHorizon(func(years int) (err error) {
		list, err = n.forecastWithin(ctx, shop, at, years, names)
		return err
	})
	return list, err
}

func (n *Network) forecastWithin(
	ctx context.Context, shop Shop, at time.Time, years int, names []string,
) ([]Timeline, error) {
	axis, err := shop.axis(at, years)
	if err != nil {
		return nil, err
	}
	plan, err := n.plan(ctx, axis, at)
	if err != nil {
		return nil, err
	}
	list := make([]Timeline, len(names))
	for i, name := range names {
		list[i] = n.timeline(axis, plan, name)
	}
	return list, nil
}
