package rcpsp

import "context"

// Options bound and seed a search. Together with the problem they decide its result, on any number
// of cores.
type Options struct {
	// Schedules is the whole budget, for heuristic, exact search and proof together: start
	// assignments made ÷ activities, rounded up. At least 1.
	Schedules int
	// Seed of all random choices: same seed, same result.
	Seed uint64
	// Heuristic leaves out exact search and proof; networks of more than 2,000 activities do so
	// anyway. Networks that only the clause-learning search can schedule (see the package comment)
	// are searched regardless and may be proved as a by-product.
	Heuristic bool
	// Workers is the number of cores for this one problem; 0 means 1. It never changes the result.
	Workers int
}

// Result is the best plan found and what is known about it.
type Result struct {
	Starts       []int // ticks, parallel to Problem.Activities; nil without a plan
	Makespan     int   // ticks; 0 without a plan
	LowerBound   int   // no plan is shorter
	CriticalPath int   // longest path of release dates, links and durations
	Schedules    int   // ⌈Assignments ÷ activities⌉, at most Options.Schedules
	Assignments  int64 // start assignments made by all parts of the search
	Proven       bool  // Makespan is optimal, or Infeasible
	Feasible     bool  // a plan was found
	Infeasible   bool  // proved to have no plan
	Stopped      bool  // the context ended the search before its budget did
}

// exactActivitiesMax is the number of activities up to which a network with lists gets energetic
// reasoning, exact search and proof: time grows with its square, and larger ones are rarely proved.
// A larger network is searched as if Options.Heuristic were set.
const exactActivitiesMax = 2000

// exactShare of the budget is kept for exact search and proof, unless the heuristic meets a bound
// before.
const exactShare = 0.5

// Solve schedules p within the budget. If ctx ends earlier, it returns the best plan so far, with
// Stopped set and without an error. Its errors are *CycleError, *DemandError, *HorizonError, and
// ErrInput wrapped with what makes no sense.
func Solve(ctx context.Context, p *Problem, o Options) (*Result, error) {
	if o.Schedules < 1 {
		return nil, badInput("the budget must be at least 1 schedule, not %d", o.Schedules)
	}
	net, err := compile(p)
	if err != nil {
		return nil, err
	}
	var res *Result
	switch {
	case net.general && len(p.Activities) > 0:
		res, err = solveGeneral(ctx, p, net, o)
		if err != nil {
			return nil, err
		}
	case net.n == 0:
		res = &Result{Starts: make([]int, len(p.Activities)), Feasible: true, Proven: true}
	default:
		res = solveLists(ctx, p, net, o)
	}
	res.Stopped = ctx.Err() != nil && !res.Proven && res.Schedules < o.Schedules
	return res, nil
}

// budget returns schedules × n without overflow.
func budget(schedules, n int) int64 {
	return min(int64(schedules), 1<<40) * int64(n)
}

// solveLists schedules a network that activity lists can express.
func solveLists(ctx context.Context, p *Problem, net *network, o Options) *Result {
	limit := budget(o.Schedules, net.n)
	share := limit
	f := net.frame()
	proves := !o.Heuristic && net.n <= exactActivitiesMax
	if proves {
		net.bound = newEnergy(p, f).raise(net.bound, net.horizon)
		share = max(int64(net.n), limit-int64(exactShare*float64(limit)))
	}
	all := newSearch(net, o, share, ctx.Done())
	all.run()
	best := &all.best().best
	x := &exact{
		frame: f, starts: best.start, span: best.span, bound: net.bound, spent: all.spent(),
		stop: ctx.Done(),
	}
	if proves {
		x.closeGap(ctx, limit, o.Workers)
	}
	return &Result{
		Starts: net.expand(p, x.starts), Makespan: int(x.span), LowerBound: int(x.bound),
		CriticalPath: int(net.cpm),
		Assignments:  x.spent, Schedules: ceilDiv(x.spent, net.n), Feasible: true,
		Proven: x.closed(),
	}
}

func ceilDiv(spent int64, n int) int {
	return int((spent + int64(n) - 1) / int64(n))
}

// expand gives the dummies their starts back: sources at 0, sinks at the end.
func (net *network) expand(p *Problem, start []int32) []int {
	out := make([]int, len(p.Activities))
	kept := make([]bool, len(p.Activities))
	last := 0
	for k, i := range net.original {
		out[i], kept[i] = int(start[k]), true
		last = max(last, out[i]+int(net.duration[k]))
	}
	for _, l := range p.Links {
		if !kept[l.To] {
			out[l.To] = last
		}
	}
	return out
}
