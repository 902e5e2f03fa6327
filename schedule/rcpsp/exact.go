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

// prove searches for better plans until none exists, which it reports, or until
// limit assignments are spent in all.
func (st *stream) prove(limit int64) bool {
	net := st.net
	if st.best.span <= net.bound {
		return true
	}
	if st.dec.spent+int64(net.n) > limit {
		return false
	}
	s := lazy.Solver{Stop: st.stop}
	s.Load(net.model(st.best.span - 1))
	before := st.dec.spent
	for {
		answer := s.Search(limit - before)
		st.dec.spent = before + s.Spent
		switch answer {
		case lazy.Impossible:
			return true
		case lazy.Unknown:
			return false
		case lazy.Found:
			copy(st.best.start, s.Starts)
			st.best.span = 0
			for i, t := range s.Starts {
				st.best.span = max(st.best.span, t+net.duration[i])
			}
			if st.best.span <= net.bound {
				return true
			}
			if st.dec.spent+int64(net.n) > limit {
				return false
			}
			for i := range net.n {
				s.Finish(int32(i), st.best.span-1-net.sides[0].tail[i])
			}
		}
	}
}
