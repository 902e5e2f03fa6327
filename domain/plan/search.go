package plan

import (
	"context"
	"fmt"
	"time"

	"bentside/schedule"
	"bentside/schedule/verify"
)

// dateSchedules is the effort spent on dates that are only asked for: enough to gain most of what
// can be gained in a queue, little enough for every question. The seed is fixed, so that a bid
// gives the same result again on any number of workers.
const (
	dateSchedules = 96
	dateSeed      = 1
	dateWorkers   = 1 // who asks for dates has one turn among all that is computed
)

// plan plans the network for its dates: the earlier an instrument is in the queue, the more a day
// of waiting weighs.
func (n *Network) plan(
	ctx context.Context, axis *schedule.Axis, at time.Time,
) (*schedule.Plan, error) {
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return nil, fmt.Errorf("link the work: %w", err)
	}
	p := n.problem(net, axis, at)
	for k, g := range n.Instruments {
		weight := queueWeight(k, len(n.Instruments))
		for _, i := range n.lastActivities(g) {
			p.Costs = append(p.Costs, schedule.Cost{Activity: i, PerDay: weight})
		}
	}
	o := schedule.Options{Schedules: dateSchedules, Seed: dateSeed, Workers: dateWorkers}
	found, err := verified(ctx, p, o)
	if err == nil {
		err = ctx.Err() // a search that was cut short gives other dates
	}
	return found, err
}

// problem returns the network as the planner takes it, without costs.
func (n *Network) problem(
	net *schedule.Network, axis *schedule.Axis, at time.Time,
) *schedule.Problem {
	return &schedule.Problem{
		Network: net, Axis: axis, DataDate: at, Stations: n.Stations, Reservations: n.Reservations,
		Clashes: n.Clashes, Groups: n.Instruments, Floor: n.Floor,
	}
}

// verified plans a problem, and returns the plan only if the verifier finds nothing wrong with it.
func verified(
	ctx context.Context, p *schedule.Problem, o schedule.Options,
) (*schedule.Plan, error) {
	plan, err := p.Plan(ctx, o)
	if err != nil {
		return nil, err
	}
	if broken := verify.Plan(p, plan); len(broken) > 0 {
		return nil, fmt.Errorf("the plan breaks %d rules, the first: %s", len(broken), broken[0].Detail)
	}
	return plan, nil
}

// queueWeight returns the weight of a position in a queue of some length: many times that of the
// next position in a short queue, twice in a long one. The last weighs 1.
func queueWeight(position, length int) int64 {
	const most = 24 // 2^24 for every job of a large shop stays within the bounds of costs
	each := min(max(most/max(length-1, 1), 1), 6)
	return 1 << min(each*(length-1-position), most)
}

// lastActivities returns the activities whose end makes an instrument ready: the one that the
// catalogue says, or all that no other activity waits for.
func (n *Network) lastActivities(g schedule.Group) []int {
	if len(g.Activities) == 0 {
		return nil
	}
	if i := n.readyActivity(n.sittings[g.Activities[0]].instrument); i != schedule.NoTerminal {
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
