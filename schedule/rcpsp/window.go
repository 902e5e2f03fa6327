package rcpsp

import "bentside/schedule/internal/lazy"

// windows reschedules intervals of a good schedule. What finishes before the interval keeps its
// earliest position, what starts after it keeps its latest position one tick earlier; if the
// clause-learning search can fit the activities between, the whole plan is better.
type windows struct {
	tasks  float64 // activities that the next window should have, at least
	plans  float64 // what it may spend, in plans of its own size
	solver lazy.Solver
	model  lazy.Model
	inside []int32 // activities of the window
	index  []int32 // their index in the model, -1 outside
	left   []int32
	right  []int32
	ended  []int32 // ended[t]: activities finished by t on the left
	begun  []int32 // begun[t]: activities not yet begun before t on the right
}

// tryWindows slides over the plan cur and returns true as soon as it has shortened it.
func (ln *lane) tryWindows(cur *individual) bool {
	w, net := &ln.win, ln.net
	w.left = append(w.left[:0], cur.start...)
	copy(ln.key, cur.start)
	ln.reverse(ln.key)
	ln.pass(1, ln.key, &ln.mirrored)
	if ln.mirrored.span < cur.span && !net.released {
		net.mirror(&ln.mirrored, cur.start)
		cur.span = ln.mirrored.span
		return true
	}
	// A longer mirrored pass isn't a right-justified version of the plan.
	if ln.mirrored.span > cur.span {
		return false
	}
	span := cur.span
	w.right = w.right[:0]
	for i, s := range ln.mirrored.start {
		at := span - s - net.duration[i]
		if at < w.left[i] {
			return false // likewise: overlapping links can do that in a plan as short
		}
		w.right = append(w.right, at)
	}
	w.countByTick(net, span)
	from := -ln.rng.Int32N(max(1, span/8))
	for from < span {
		to := max(from, 0) + 2
		for to <= span && net.n-int(w.endedBy(from))-int(w.begun[to]) < int(w.tasks) {
			to++
		}
		if ln.done() {
			return false
		}
		if ln.window(cur, from, min(to, span+1)) {
			return true
		}
		if to > span {
			break
		}
		from += max(1, (to-max(from, 0))/2)
	}
	return false
}

func (w *windows) endedBy(t int32) int32 {
	if t < 0 {
		return 0
	}
	return w.ended[t]
}

func (w *windows) countByTick(net *network, span int32) {
	w.ended = append(w.ended[:0], make([]int32, span+2)...)
	w.begun = append(w.begun[:0], make([]int32, span+2)...)
	for i := range net.n {
		w.ended[w.left[i]+net.duration[i]]++
		w.begun[w.right[i]]++
	}
	for t := int32(1); t < span+2; t++ {
		w.ended[t] += w.ended[t-1]
		w.begun[span+1-t] += w.begun[span+2-t]
	}
}

// window reschedules the activities that neither end by from nor begin at or after to.
func (ln *lane) window(cur *individual, from, to int32) bool {
	w, net := &ln.win, ln.net
	s := &net.sides[0]
	m := &w.model
	target := cur.span - 1
	w.inside = w.inside[:0]
	w.index = w.index[:0]
	moved := int64(0) // what follows the window starts a tick earlier, and counts
	ln.dec.reset()
	m.Free = append(m.Free[:0], ln.dec.free[:(int(target)+1)*net.words]...)
	for i := range narrow(net.n) {
		at := int32(-1)
		switch {
		case w.left[i]+net.duration[i] <= from:
			w.reserve(net, i, w.left[i])
		case w.right[i] >= to:
			if w.right[i]-1 < s.head[i] {
				return false // would start before its release date
			}
			w.reserve(net, i, w.right[i]-1)
			moved++
		default:
			at = narrow(len(w.inside))
			w.inside = append(w.inside, i)
		}
		w.index = append(w.index, at)
	}
	// The whole plan in one window would be the exact search, which is done elsewhere.
	spend := min(int64(w.tasks*w.plans), ln.limit-ln.dec.spent-moved)
	if len(w.inside) == 0 || len(w.inside) == net.n || int64(len(w.inside)) > spend ||
		!w.buildModel(net, s, target, from) {
		return false
	}
	ln.dec.spent += moved
	w.solver.Load(m)
	w.solver.Stop, w.solver.RestartUnit = ln.stop, windowRestartUnit
	answer := w.solver.Search(spend)
	ln.dec.spent += w.solver.Spent
	switch answer {
	case lazy.Unknown:
		w.tasks = max(windowTasksMin, w.tasks-windowShrinkage)
		return false
	case lazy.Impossible:
		w.tasks = min(windowShareMax*float64(net.n), w.tasks+windowGrowth)
		return false
	case lazy.Found:
	}
	cur.span = 0 // a window at the end may come out shorter than asked for
	for i := range narrow(net.n) {
		switch at := w.index[i]; {
		case at >= 0:
			cur.start[i] = w.solver.Starts[at]
		case w.left[i]+net.duration[i] <= from:
			cur.start[i] = w.left[i]
		default:
			cur.start[i] = w.right[i] - 1
		}
		cur.span = max(cur.span, cur.start[i]+net.duration[i])
	}
	ln.keep(0, cur)
	return true
}

func (w *windows) reserve(net *network, i, at int32) {
	n := narrow(net.words)
	for t := at; t < at+net.duration[i]; t++ {
		for k := range n {
			w.model.Free[t*n+k] -= net.need[i*n+k]
		}
	}
}

// buildModel fills the model: windows from the fixed neighbours, links among the activities inside.
// It reports whether the fixed activities keep the links between them; a lag across the whole
// window may be violated.
func (w *windows) buildModel(net *network, s *side, target, from int32) bool {
	m := &w.model
	m.Words, m.Guard = net.words, net.guard
	m.Low, m.High, m.Duration = m.Low[:0], m.High[:0], m.Duration[:0]
	m.Need, m.Edges = m.Need[:0], m.Edges[:0]
	for _, i := range w.inside {
		m.Low = append(m.Low, s.head[i])
		m.High = append(m.High, target-s.tail[i])
		m.Duration = append(m.Duration, net.duration[i])
		m.Need = append(m.Need, net.need[int(i)*net.words:(int(i)+1)*net.words]...)
	}
	for i := range narrow(net.n) {
		at := w.index[i]
		for _, in := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			p := w.index[in.from]
			switch {
			case at >= 0 && p >= 0:
				m.Edges = append(m.Edges, lazy.Edge{From: p, To: at, Lag: in.lag})
			case at >= 0:
				m.Low[at] = max(m.Low[at], w.fixedStart(net, in.from, from)+in.lag)
			case p >= 0:
				m.High[p] = min(m.High[p], w.fixedStart(net, i, from)-in.lag)
			case w.fixedStart(net, i, from) < w.fixedStart(net, in.from, from)+in.lag:
				return false
			}
		}
	}
	return true
}

func (w *windows) fixedStart(net *network, i, from int32) int32 {
	if w.left[i]+net.duration[i] <= from {
		return w.left[i]
	}
	return w.right[i] - 1
}
