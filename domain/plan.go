package domain

import (
	"context"
	"fmt"
	"time"

	"bentside/schedule"
)

// dateSchedules is what is spent on dates that are only asked for: enough to
// better a queue by most of what can be bettered, little enough for every
// question. The seed is fixed, so that a bid works out the same again, on any
// number of workers.
const (
	dateSchedules = 96
	dateSeed      = 1
	dateWorkers   = 4
)

// plan plans the network for its dates: the earlier an instrument is in the
// queue, the more a day of its waiting weighs.
func (n *Network) plan(axis *schedule.Axis, at time.Time) (*schedule.Plan, error) {
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return nil, fmt.Errorf("link the work: %w", err)
	}
	p := n.problem(net, axis, at)
	for k, g := range n.Instruments {
		for _, i := range n.ends(g) {
			p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: urgency(k, len(n.Instruments))})
		}
	}
	return verified(context.Background(), p, schedule.Options{Schedules: dateSchedules, Seed: dateSeed, Workers: dateWorkers})
}

// problem is the network as the planner takes it, without costs.
func (n *Network) problem(net *schedule.Network, axis *schedule.Axis, at time.Time) *schedule.Problem {
	return &schedule.Problem{
		Network: net, Axis: axis, DataDate: at, Stations: n.Stations, Reservations: n.Reservations, Clashes: n.Clashes,
		Groups: n.Instruments, Floor: n.Floor,
	}
}

// verified plans a problem, and gives the plan only when the verifier finds
// nothing wrong with it.
func verified(ctx context.Context, p *schedule.Problem, o schedule.Options) (*schedule.Plan, error) {
	plan, err := p.Plan(ctx, o)
	if err != nil {
		return nil, err
	}
	if found := schedule.Verify(p, plan); len(found) > 0 {
		return nil, fmt.Errorf("the plan breaks %d rules, the first: %s", len(found), found[0].Detail)
	}
	return plan, nil
}

// urgency is the weight of a place in the queue: many times that of the next
// one in a short queue, twice in a long one, the last 1.
func urgency(place, of int) int64 {
	const most = 24 // 2^24 for every job of a large shop stays within what costs may come to
	each := min(max(most/max(of-1, 1), 1), 6)
	return 1 << min(each*(of-1-place), most)
}

// ends are the activities of an instrument that make it ready: the one that
// does, or all that nothing of it waits for.
func (n *Network) ends(g schedule.Group) []int {
	if len(g.Activities) == 0 {
		return nil
	}
	if i := n.ready(n.of[g.Activities[0]].instrument); i != schedule.NoTerminal {
		return []int{i}
	}
	waited := map[string]bool{}
	for _, l := range n.Links {
		waited[l.From] = true
	}
	var list []int
	for _, i := range g.Activities {
		if !waited[n.Activities[i].Name] {
			list = append(list, i)
		}
	}
	return list
}
