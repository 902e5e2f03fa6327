package rcpsp

import "bentside/schedule/internal/lazy"

// solveLags plans networks whose links include maximum lags, or circles of
// length zero, which no list decoder can follow. The clause-learning search
// finds a first plan within the horizon and then tightens the end; running out
// of alternatives proves infeasibility or optimality.
func solveLags(p *Problem, net *network, o Options) (*Result, error) {
	if err := temporalCycle(p); err != nil {
		return nil, err
	}
	res := &Result{}
	low, tail := envelope(p)
	for i, a := range p.Activities {
		res.CriticalPath = max(res.CriticalPath, low[i]+max(tail[i], a.Duration))
	}
	res.LowerBound = max(res.CriticalPath, int(capacityBound(p)))
	if net.n == 0 {
		res.Starts, res.Feasible, res.Proven = low, true, true
		return res, nil
	}
	horizon := max(int(net.horizon), res.LowerBound)
	if horizon > MaxTicks {
		return nil, &HorizonError{Ticks: horizon}
	}
	net.tighten(p, o, res, horizon, low, tail)
	return res, nil
}

// envelope returns each activity's earliest start by the links alone and the
// longest path from its start to the end of the plan.
func envelope(p *Problem) (low, tail []int) {
	low, tail = make([]int, len(p.Activities)), make([]int, len(p.Activities))
	for i, a := range p.Activities {
		low[i], tail[i] = a.Release, a.Duration
	}
	for changed := true; changed; {
		changed = false
		for _, l := range p.Links {
			if v := low[l.From] + l.Lag; v > low[l.To] {
				low[l.To], changed = v, true
			}
			if v := tail[l.To] + l.Lag; v > tail[l.From] {
				tail[l.From], changed = v, true
			}
		}
	}
	return low, tail
}

func (net *network) tighten(p *Problem, o Options, res *Result, horizon int, low, tail []int) {
	m := &lazy.Model{Words: net.words, Guard: net.guard}
	demand := make([]uint64, len(p.Activities)*net.words)
	for k, i := range net.original {
		copy(demand[int(i)*net.words:], net.need[k*net.words:(k+1)*net.words])
	}
	m.Need = demand
	for i, a := range p.Activities {
		m.Low = append(m.Low, int32(low[i]))
		m.High = append(m.High, int32(horizon-tail[i]))
		m.Duration = append(m.Duration, int32(a.Duration))
	}
	for _, l := range p.Links {
		if l.From != l.To {
			m.Edges = append(m.Edges, lazy.Edge{From: int32(l.From), To: int32(l.To), Lag: int32(l.Lag)})
		}
	}
	m.Free = make([]uint64, (horizon+1)*net.words)
	for k := range m.Free {
		m.Free[k] = net.full[k%net.words]
	}
	copy(m.Free, net.base)
	var s lazy.Solver
	s.Load(m)
	limit := int64(o.Schedules) * int64(net.n)
	for answer := lazy.Found; answer == lazy.Found; {
		answer = s.Search(limit-s.Spent, 1<<40)
		switch answer {
		case lazy.Found:
			res.Feasible = true
			res.Starts = make([]int, len(s.Starts))
			for i, t := range s.Starts {
				res.Starts[i] = int(t)
			}
			res.Makespan = p.Makespan(res.Starts)
			if res.Makespan <= res.LowerBound {
				answer = lazy.Unknown
				break
			}
			for i := range p.Activities {
				s.Finish(int32(i), int32(res.Makespan-1-tail[i]))
			}
		case lazy.Impossible:
			res.Infeasible = !res.Feasible
			if res.Feasible {
				res.LowerBound = res.Makespan
			}
		case lazy.Unknown:
		}
	}
	res.Proven = res.Infeasible || res.Feasible && res.Makespan == res.LowerBound
	res.Assignments = s.Spent
	res.Schedules = int((s.Spent + int64(net.n) - 1) / int64(net.n))
}
