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
	m.Free = make([]uint64, (int(target)+1)*net.words)
	for k := range m.Free {
		m.Free[k] = net.full[k%net.words]
	}
	copy(m.Free, net.base)
	return m
}

// prove searches for better plans until none exists or the budget ends.
func (st *stream) prove(spend, conflicts int64) bool {
	net := st.net
	if st.best.span <= net.bound {
		return true
	}
	var s lazy.Solver
	target := st.best.span - 1
	s.Load(net.model(target))
	for {
		switch s.Search(spend-s.Spent, conflicts-s.Conflicts) {
		case lazy.Impossible:
			st.dec.spent += s.Spent
			return true
		case lazy.Unknown:
			st.dec.spent += s.Spent
			return false
		case lazy.Found:
			copy(st.best.start, s.Starts)
			span := int32(0)
			for i, t := range s.Starts {
				span = max(span, t+net.duration[i])
			}
			st.best.span = span
			if span <= net.bound {
				st.dec.spent += s.Spent
				return true
			}
			for i := range net.n {
				s.Finish(int32(i), span-1-net.sides[0].tail[i])
			}
		}
	}
}
