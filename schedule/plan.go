package schedule

import (
	"context"
	"errors"
	"slices"
)

// Options say how much is spent on a plan. Unless ctx ends the search, the plan depends on Problem,
// Schedules and Seed only.
type Options struct {
	// Schedules is the budget: start assignments made while scheduling, shifting and scheduling
	// again, divided by the number of activities and rounded up. The first plan is always made;
	// with 0 or 1 it is the only one, in Activity.Order.
	Schedules int
	Seed      uint64
	Workers   int // number of goroutines; less than 1 counts as 1
}

// Plan is a feasible date for each activity. Activities with a fixed start keep it, whatever is in
// use there; a station may be over capacity by facts that can't be changed, and nothing is added to
// them.
type Plan struct {
	Placements []Placement // at the network's positions
	DataDate   Instant     // rounded up to the first working tick
	Finish     Instant     // end of the last tail
	// Cost is the cost of the plan by Problem.Costs and FinishCost, in minor units, a half rounded
	// up; LowerBound is what every plan costs at least. Proven: the two are equal, so no plan costs
	// less.
	Cost, LowerBound int64
	Proven           bool
	Schedules        int // used
}

// Placement is one activity's dates in a Plan, what drives its start, and its floats.
type Placement struct {
	Dates
	Driver Driver
	// FreeFloat is how many working ticks it can start later while all others stay where they are,
	// with no cost and no later finish; 0 for a fixed start.
	FreeFloat Ticks
	// TotalFloat is how many ticks it can start later if those after it, by links or in the use of
	// stations, are delayed too, again with no cost and no later finish; never less than FreeFloat.
	// Each activity can do so alone; all together can be as late as Late, whose dates form a plan
	// too.
	TotalFloat Ticks
	Late       Dates
}

// errLimit reports that the assignments of one individual are used up.
var errLimit = errors.New("no start assignments left")

// The effort on the bound grows with the effort on the plan.
const (
	schedulesPerRound = 100
	maxRounds         = 60
)

// Plan schedules the problem once and then searches for a cheaper plan until the budget is used up,
// the lower bound is met or ctx is done. It returns *ValueError for values that make no sense,
// *HorizonError if an activity doesn't fit on the axis, *RestartError if the maximum lags could not
// be kept after many attempts, and *AdmissionError if the floor lets nobody in. If ctx ends, it
// returns the best plan so far without an error.
func (p *Problem) Plan(ctx context.Context, o Options) (*Plan, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	d := newDecoder(m)
	first := newIndividual(m.network.Len())
	m.rankBy(first.rank, m.byOrder)
	if err := d.decode(first.rank, false); err != nil {
		return nil, err
	}
	first.keep(d)
	lower := m.lowerBound(ctx, min(o.Schedules/schedulesPerRound, maxRounds))
	s := &search{
		model: m, options: o, decoders: []*decoder{d}, best: first, lower: lower,
		assignments: d.assignments,
	}
	if o.Schedules > 1 {
		s.improve(ctx)
	}
	return m.plan(s.best, d, lower, s.schedules()), nil
}

// plan returns an individual's dates with their cost, drivers and floats; d is a place to work in.
func (m *model) plan(best *individual, d *decoder, lower int64, schedules int) *Plan {
	plan := &Plan{
		Placements: make([]Placement, m.network.Len()), DataDate: m.path.DataDate,
		Finish: m.path.DataDate,
		Cost:   perDay(best.score.cost), LowerBound: perDay(lower), Schedules: schedules,
	}
	plan.Proven = plan.Cost == plan.LowerBound
	for i := range plan.Placements {
		plan.Placements[i].Dates = best.dates[i]
		plan.Finish = max(plan.Finish, best.dates[i].TailEnd)
	}
	m.explain(plan, d)
	return plan
}

// Chain returns the driving chain of activity i, its first link first and i last: each activity
// drives the next. It ends where a Driver names no other activity: at the data date, a release
// date, a fixed start or a reservation.
func (p *Plan) Chain(i int) []int {
	var chain []int
	for ; i >= 0 && !slices.Contains(chain, i); i = p.Placements[i].Driver.Activity {
		chain = append(chain, i)
	}
	slices.Reverse(chain)
	return chain
}

// rankBy ranks the activities by an order.
func (m *model) rankBy(rank []int32, order func(i, j int32) int) {
	list := make([]int32, len(rank))
	for i := range list {
		list[i] = index32(i)
	}
	slices.SortFunc(list, order)
	for k, i := range list {
		rank[i] = index32(k)
	}
}
