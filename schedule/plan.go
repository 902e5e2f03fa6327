package schedule

import (
	"context"
	"errors"
	"slices"
)

// Options say how much is spent on a plan. Apart from a context that ends, the plan depends on Problem, Schedules and Seed only.
type Options struct {
	// Schedules is the budget: start assignments tried, in placing, pushing and placing again, over the number of activities, rounded up.
	// The first plan is always made; with 0 or 1 it stays at that, which is a queue by Activity.Order.
	Schedules int
	Seed      uint64
	Workers   int  // goroutines at once; less than 1 is 1
	Parallel  bool // the first plan by parallel generation, which leaves nothing idle that could run, instead of serial
}

// Plan is a feasible date for each activity. Activities with a fixed start are where they are fixed, whatever is taken there; what cannot
// be changed may be beyond capacity, and nothing is added to it.
type Plan struct {
	Placements []Placement // at the network's positions
	DataDate   Instant     // as rounded up to the first working tick
	Finish     Instant     // end of the last tail
	// Cost is what the plan costs by Problem.Costs and FinishCost, in minor units, a half rounded up; Lower is what every plan costs at
	// least. Proven: none costs less, since this one costs no more than that.
	Cost, Lower int64
	Proven      bool
	Schedules   int // used
}

// Gap is how much cheaper than this a plan could be at most.
func (p *Plan) Gap() int64 { return p.Cost - p.Lower }

// Placement is one activity's dates in a Plan and the reason for its start.
type Placement struct {
	Dates
	Bound Bound
	// Slack is its free float in the plan: how many working ticks it can start later, all others staying where they are, with no cost and no
	// later finish; 0 for a fixed start.
	Slack Ticks
	// TotalFloat is how many it can start later when those after it, by links or in the use of stations, are put off too, again with no cost
	// and no later finish: no less than Slack. Each activity can; taken together they can as far as Late, which are the dates of a plan too.
	TotalFloat Ticks
	Late       Dates
}

// errLimit says that the assignments of one try are used up.
var errLimit = errors.New("no start assignments left")

// What is spent on the bound grows with what is spent on the plan.
const (
	schedulesPerRound = 100
	maxRounds         = 60
)

// Plan plans the problem: places everything once, then looks for a cheaper plan for as long as the budget lasts, the bound isn't met and
// ctx isn't done. It returns *ValueError for numbers that can't be, *HorizonError when an activity finds no place on the axis,
// *RestartError when the maximum lags found none after many attempts, and *AdmissionError when the floor lets nobody on. When ctx ends, the
// best plan so far is returned without an error.
func (p *Problem) Plan(ctx context.Context, o Options) (*Plan, error) {
	m, err := newModel(p)
	if err != nil {
		return nil, err
	}
	d := newDecoder(m)
	first := newTrial(m.network.Len())
	m.rankBy(first.rank, m.firstRank)
	if err := d.decode(first.rank, o.Parallel); err != nil {
		return nil, err
	}
	first.keep(d)
	lower := m.lower(min(o.Schedules/schedulesPerRound, maxRounds))
	s := &search{model: m, options: o, decoders: []*decoder{d}, best: first, lower: lower, used: d.tried}
	if o.Schedules > 1 {
		s.improve(ctx)
	}
	plan := &Plan{
		Placements: make([]Placement, m.network.Len()), DataDate: m.path.DataDate, Finish: m.path.DataDate,
		Cost: perDay(s.best.score.cost), Lower: perDay(lower), Schedules: s.schedules(),
	}
	plan.Proven = plan.Cost == plan.Lower
	for i := range plan.Placements {
		plan.Placements[i].Dates = s.best.dates[i]
		plan.Finish = max(plan.Finish, s.best.dates[i].TailEnd)
	}
	m.explain(plan, d)
	return plan, nil
}

// Chain is the chain that binds activity i, the first link of it first and i last: what each waited for, as its Bound says. It ends where a
// Bound names no other activity: at the data date, a release, a fixed start or a reservation.
func (p *Plan) Chain(i int) []int {
	var chain []int
	for ; i >= 0 && !slices.Contains(chain, i); i = p.Placements[i].Bound.Activity {
		chain = append(chain, i)
	}
	slices.Reverse(chain)
	return chain
}

// rankBy numbers the activities in an order.
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
