package rcpsp

import "context"

// solveGeneral schedules networks that no activity list can express: with maximum lags, cycles of
// length zero or varying capacity. The clause-learning search finds a first plan within the horizon
// and then tightens the end; exhausting the alternatives proves infeasibility or optimality.
func solveGeneral(ctx context.Context, p *Problem, net *network, o Options) (*Result, error) {
	if err := temporalCycle(p); err != nil {
		return nil, err
	}
	f := net.generalFrame(p)
	res := &Result{CriticalPath: int(f.criticalPath())}
	bound := max(f.criticalPath(), net.bound)
	horizon := max(net.horizon, bound)
	if limit := cellsMax / net.words; int(horizon) > limit {
		return nil, &HorizonError{Ticks: int(horizon), Limit: limit}
	}
	n := len(p.Activities)
	x := &exact{frame: f, span: horizon + 1, bound: bound, stop: ctx.Done()}
	if limit := budget(o.Schedules, n); o.Heuristic {
		x.shorten(limit, limit)
	} else {
		if e := newEnergy(p, f); e.impossible(horizon) {
			x.bound = x.span
		} else {
			x.bound = e.raise(bound, horizon)
		}
		x.closeGap(ctx, limit, o.Workers)
	}
	res.LowerBound, res.Proven = int(x.bound), x.closed()
	res.Assignments, res.Schedules = x.spent, ceilDiv(x.spent, n)
	switch {
	case x.starts != nil:
		res.Feasible, res.Makespan = true, int(x.span)
		for _, t := range x.starts {
			res.Starts = append(res.Starts, int(t))
		}
	case res.Proven:
		res.Infeasible, res.LowerBound = true, int(bound)
	}
	return res, nil
}
