package rcpsp

import "bentside/schedule/internal/lazy"

// model states "finish by target" for the clause-learning search.
func (net *network) model(target int32) *lazy.Model {
	s := &net.sides[0]
	m := &lazy.Model{Duration: net.duration, Words: net.words, Guard: net.guard, Need: net.need}
	for i := range net.n {
		m.Low = append(m.Low, s.head[i])
		m.High = append(m.High, target-s.tail[i])
		for _, in := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			m.Edges = append(m.Edges, lazy.Edge{From: in.from, To: int32(i), Lag: in.lag})
		}
	}
	m.Free = net.freeUntil(int(target))
	return m
}

// freeUntil is the packed capacity of every tick up to the last one.
func (net *network) freeUntil(last int) []uint64 {
	free := make([]uint64, (last+1)*net.words)
	for k := range free {
		free[k] = net.full[k%net.words]
	}
	copy(free, net.base)
	return free
}

// fromAbove is the share of the exact search that looks for shorter plans; the
// rest raises the bound.
const fromAbove = 0.75

// exactPace and windowPace are conflicts before the first restart: patience that
// a window cannot afford.
const exactPace, windowPace = 100, 25

// prove works on the gap from both ends, until limit assignments are spent in
// all.
func (ln *lane) prove(limit int64) {
	left := limit - ln.dec.spent
	if !ln.shorten(ln.dec.spent + int64(fromAbove*float64(left))) {
		ln.lift(limit)
	}
}

// affords reports that one more plan can be tried.
func (ln *lane) affords(limit int64) bool { return ln.dec.spent+int64(ln.net.n) <= limit }

// shorten searches for better plans until none exists or a bound is met, which
// it reports.
func (ln *lane) shorten(limit int64) bool {
	net := ln.net
	if ln.best.span <= net.bound {
		return true
	}
	if !ln.affords(limit) {
		return false
	}
	s := lazy.Solver{Stop: ln.stop, Pace: exactPace}
	s.Load(net.model(ln.best.span - 1))
	before := ln.dec.spent
	for {
		answer := s.Search(limit - before)
		ln.dec.spent = before + s.Spent
		switch answer {
		case lazy.Impossible:
			net.bound = ln.best.span
			return true
		case lazy.Unknown:
			return false
		case lazy.Found:
			if ln.adopt(s.Starts); ln.best.span <= net.bound {
				return true
			}
			if !ln.affords(limit) {
				return false
			}
			for i := range net.n {
				s.Finish(int32(i), ln.best.span-1-net.sides[0].tail[i])
			}
		}
	}
}

// lift asks for plans as short as the bound and raises it while there is none
// (destructive improvement, Klein and Scholl 1999, from memory). It reports that
// bound and plan have met.
func (ln *lane) lift(limit int64) bool {
	net := ln.net
	s := lazy.Solver{Stop: ln.stop, Pace: exactPace}
	for ln.best.span > net.bound && ln.affords(limit) {
		s.Load(net.model(net.bound))
		answer := s.Search(limit - ln.dec.spent)
		ln.dec.spent += s.Spent
		switch answer {
		case lazy.Impossible:
			net.bound++
		case lazy.Unknown:
			return false
		case lazy.Found:
			ln.adopt(s.Starts)
		}
	}
	return ln.best.span <= net.bound
}

// adopt takes over the starts of a better plan.
func (ln *lane) adopt(starts []int32) {
	copy(ln.best.start, starts)
	ln.best.span = 0
	for i, t := range starts {
		ln.best.span = max(ln.best.span, t+ln.net.duration[i])
	}
}
