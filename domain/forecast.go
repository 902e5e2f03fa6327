package domain

import (
	"fmt"
	"time"

	"bentside/domain/catalogue"
)

// JobWork is what is left of a job, with the revision of the catalogue that it
// is pinned to.
type JobWork struct {
	Catalogue *catalogue.Catalogue
	Left      QueuedWork
}

// Forecast dates what is left of every job from an instant on, by a plan with
// places of limited number and the people of the crew: the earlier a job is in
// the queue, the more its date weighs. Tasks that were begun go on before all
// others, of whatever job. A job of which nothing is left is ready at once.
func Forecast(jobs []JobWork, shop Shop, at time.Time) ([]Timeline, error) {
	n := networkOf(shop)
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
		list, err = n.forecast(shop, at, years, names)
		return err
	})
	return list, err
}

func (n *Network) forecast(shop Shop, at time.Time, years int, names []string) ([]Timeline, error) {
	axis, err := axisOf(shop, at, years)
	if err != nil {
		return nil, err
	}
	plan, err := n.plan(axis, at)
	if err != nil {
		return nil, err
	}
	list := make([]Timeline, len(names))
	for i, name := range names {
		list[i] = n.timeline(axis, plan, name)
	}
	return list, nil
}

// inQueue is the work as it goes into a network at a place in the queue, under
// a name that no other work has; taken are the names so far.
func (q QueuedWork) inQueue(place int, taken map[string]bool) instrumentWork {
	name := q.Name
	for k := place + 1; taken[name] || name == ""; k++ {
		name = fmt.Sprintf("%s (%d)", q.Name, k)
	}
	taken[name] = true
	return instrumentWork{
		name: name, scope: q.Scope, accepted: q.Accepted, underWay: true, order: place, held: q.Held, suspended: q.Suspended,
		begun: q.Begun, worked: q.Worked,
	}
}
