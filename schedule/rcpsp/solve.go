package rcpsp

import (
	"context"
	"math"
)

// Options bound and seed a search.
type Options struct {
	Schedules int    // budget: start assignments ÷ activities, rounded up
	Seed      uint64 // same seed, same plan
	Workers   int    // goroutines; changes nothing but the time taken
	Heuristic bool   // no exact search, no proofs beyond simple bounds
}

// Result is the best plan found with what is known about it.
type Result struct {
	Starts       []int // per Problem.Activities
	Makespan     int
	LowerBound   int
	CriticalPath int
	Schedules    int
	Assignments  int64
	Proven       bool
	Feasible     bool
	Infeasible   bool
}

// Solve plans p.
func Solve(ctx context.Context, p *Problem, o Options) (*Result, error) {
	net, err := compile(p)
	if err != nil {
		return nil, err
	}
	_ = ctx
	if net.maxLags {
		return solveLags(p, net, o)
	}
	limit := int64(o.Schedules) * int64(net.n)
	st := newStream(net, o.Seed, 1, limit)
	size := int(Tune.Pop * math.Sqrt(float64(o.Schedules)))
	st.seed(max(4, size))
	st.evolve()
	proven := false
	if !o.Heuristic {
		proven = st.prove(limit, 1<<40)
	}
	res := &Result{Makespan: int(st.best.span), LowerBound: int(net.bound), CriticalPath: int(net.cpm), Assignments: st.dec.spent, Feasible: true}
	if net.n > 0 {
		res.Schedules = int((st.dec.spent + int64(net.n) - 1) / int64(net.n))
	}
	if proven {
		res.LowerBound = res.Makespan
	}
	res.Proven = res.Makespan == res.LowerBound
	res.Starts = net.expand(p, st.best.start)
	return res, nil
}

// expand gives the dummies their starts back.
func (net *network) expand(p *Problem, start []int32) []int {
	out := make([]int, len(p.Activities))
	for k, i := range net.original {
		out[i] = int(start[k])
	}
	last := 0
	for k, i := range net.original {
		last = max(last, out[i]+int(net.duration[k]))
	}
	entered := make([]bool, len(p.Activities))
	for _, l := range p.Links {
		entered[l.To] = true
	}
	in := make([]bool, len(p.Activities))
	for _, i := range net.original {
		in[i] = true
	}
	for i := range out {
		if !in[i] && entered[i] {
			out[i] = last
		}
	}
	return out
}
