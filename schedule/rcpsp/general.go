package rcpsp

import (
	"context"

	"bentside/schedule/internal/lazy"
)

// solveGeneral plans networks that no list of activities can describe: with
// maximum lags, circles of length zero or capacity that varies. The
// clause-learning search finds a first plan within the horizon and then tightens
// the end; running out of alternatives proves infeasibility or optimality.
func solveGeneral(ctx context.Context, p *Problem, net *network, o Options) (*Result, error) {
	if err := temporalCycle(p); err != nil {
		return nil, err
	}
	low, tail := envelope(p)
	res := &Result{}
	for i := range p.Activities {
		res.CriticalPath = max(res.CriticalPath, low[i]+tail[i])
	}
	res.LowerBound = max(res.CriticalPath, int(net.bound))
	horizon := max(int(net.horizon), res.LowerBound)
	if horizon > maxCells/net.words {
		return nil, &HorizonError{Ticks: horizon, Limit: maxCells / net.words}
	}
	s := lazy.Solver{Stop: ctx.Done(), Pace: exactPace}
	s.Load(net.generalModel(p, horizon, low, tail))
	n := len(p.Activities)
	res.tighten(p, &s, tail, budget(o.Schedules, n))
	res.Proven = res.Infeasible || res.Feasible && res.Makespan == res.LowerBound
	res.Assignments, res.Schedules = s.Spent, ceilDiv(s.Spent, n)
	return res, nil
}

// envelope returns each activity's earliest start by the links alone and the
// longest path from its start to the end of the plan, its own duration included.
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

func (net *network) generalModel(p *Problem, horizon int, low, tail []int) *lazy.Model {
	m := &lazy.Model{Words: net.words, Guard: net.guard, Free: net.freeUntil(horizon)}
	m.Need = make([]uint64, len(p.Activities)*net.words)
	for k, i := range net.original {
		copy(m.Need[int(i)*net.words:], net.need[k*net.words:(k+1)*net.words])
	}
	for i, a := range p.Activities {
		m.Low = append(m.Low, narrow(low[i]))
		m.High = append(m.High, narrow(horizon-tail[i]))
		m.Duration = append(m.Duration, narrow(a.Duration))
	}
	for _, l := range p.Links {
		if l.From != l.To {
			m.Edges = append(m.Edges, lazy.Edge{From: narrow(l.From), To: narrow(l.To), Lag: narrow(l.Lag)})
		}
	}
	return m
}

// tighten finds ever shorter plans within limit assignments.
func (res *Result) tighten(p *Problem, s *lazy.Solver, tail []int, limit int64) {
	for {
		switch s.Search(limit) {
		case lazy.Unknown:
			return
		case lazy.Impossible:
			if res.Infeasible = !res.Feasible; res.Feasible {
				res.LowerBound = res.Makespan
			}
			return
		case lazy.Found:
			res.Feasible = true
			res.Starts = make([]int, len(s.Starts))
			for i, t := range s.Starts {
				res.Starts[i] = int(t)
			}
			if res.Makespan = p.Makespan(res.Starts); res.Makespan <= res.LowerBound || s.Spent+int64(len(p.Activities)) > limit {
				return
			}
			for i := range p.Activities {
				s.Finish(narrow(i), narrow(res.Makespan-1-tail[i]))
			}
		}
	}
}
