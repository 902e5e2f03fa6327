package lazy

import (
	"math/bits"
	"slices"
)

// analysis is the scratch space of conflict analysis.
type analysis struct {
	marked     []int32 // per event: stamp of the analysis that marked it
	bound      []int32 // per event: the bound that the conflict really uses
	stamp      int32
	current    int // marked events of the current level not yet resolved
	lower      []int32
	clause     []literal
	seen       []int32 // per level
	sides      []int32
	compulsory []int32
}

// analyse derives a clause that is false now and in which one literal was undecided at an earlier
// level (first unique implication point). It returns that level, or -1 if the conflict doesn't
// depend on any decision; the clause is in analysis.clause, the asserting literal first.
func (s *Solver) analyse() int {
	w := &s.analysis
	w.marked, w.bound = grow(w.marked, len(s.events)), grow(w.bound, len(s.events))
	w.seen = grow(w.seen, len(s.levels)+1)
	w.stamp++
	w.current, w.lower, w.clause = 0, w.lower[:0], w.clause[:0]
	t := s.conflict
	if t.failed.side >= 0 {
		s.mark(t.failed.negated())
	}
	s.explain(t.why, t.a, t.b, t.failed, narrow(len(s.events)))
	if w.current == 0 {
		// Nothing of this level is involved: the conflict is older.
		level := int32(0)
		for _, k := range w.lower {
			level = max(level, s.events[k].level)
		}
		s.backtrack(int(level))
		if level == 0 {
			return -1
		}
		return s.analyse()
	}
	k := narrow(len(s.events)) - 1
	for {
		for w.marked[k] != w.stamp || s.events[k].level != narrow(len(s.levels)) {
			k--
		}
		w.current--
		if w.current == 0 {
			break
		}
		e := &s.events[k]
		s.explain(e.why, e.a, e.b, literal{e.side, w.bound[k]}, k)
		k--
	}
	w.lower = append(w.lower, k)
	return s.assemble()
}

func grow(x []int32, n int) []int32 {
	for len(x) < n {
		x = append(x, 0)
	}
	return x
}

// mark records that the conflict depends on l, which holds now.
func (s *Solver) mark(l literal) {
	k := s.last[l.side]
	for k >= 0 && s.events[k].old <= l.bound {
		k = s.events[k].previous
	}
	if k < 0 || s.events[k].level == 0 {
		return
	}
	w := &s.analysis
	if w.marked[k] == w.stamp {
		w.bound[k] = min(w.bound[k], l.bound)
		return
	}
	w.marked[k], w.bound[k] = w.stamp, l.bound
	s.score[l.side>>1] += s.bump
	if s.events[k].level == narrow(len(s.levels)) {
		w.current++
	} else {
		w.lower = append(w.lower, k)
	}
}

// explain marks the literals that made l true just before event at.
func (s *Solver) explain(why reason, a, b int32, l literal, at int32) {
	switch why {
	case byEdge:
		s.mark(literal{a, l.bound + b})
	case byClause:
		c := &s.clauses[a]
		for _, x := range s.arena[c.from : c.from+c.size] {
			if x.side != l.side {
				s.mark(x.negated())
			}
		}
	case byTimetable:
		s.explainTimetable(a, b, l, at)
	case byDecision:
	}
}

// boundBefore returns the bound of a side just before event at.
func (s *Solver) boundBefore(side, at int32) int32 {
	k := s.last[side]
	now := s.bound[side]
	for k >= at {
		now = s.events[k].old
		k = s.events[k].previous
	}
	return now
}

// explainTimetable marks enough of the tasks whose compulsory parts contain tick t to leave too
// little of one resource.
func (s *Solver) explainTimetable(t, where int32, l literal, at int32) {
	word, bit := where>>8, uint(where&255)
	below := s.guard[word] & (1<<bit - 1)
	from := uint(bits.Len64(below))
	mask := uint64(1)<<(bit-from) - 1
	w := narrow(s.words)
	//nolint:gosec // a field is shorter than a word
	field := func(i int32) int64 { return int64(s.need[i*w+word] >> from & mask) }
	//nolint:gosec // likewise
	slack := -int64(s.base[t*w+word]>>from&mask) - 1
	self := int32(-1)
	if l.side >= 0 {
		self = l.side >> 1
		slack += field(self)
		if l.side&1 == 1 {
			s.mark(literal{l.side, s.duration[self] - t - 1})
		} else {
			s.mark(literal{l.side, t})
		}
	}
	cover := s.analysis.compulsory[:0]
	for i := range narrow(s.n) {
		d := field(i)
		if d == 0 || i == self {
			continue
		}
		if s.boundBefore(2*i, at) <= t && -s.boundBefore(2*i+1, at)+s.duration[i] > t {
			slack += d
			cover = append(cover, i)
		}
	}
	s.analysis.compulsory = cover
	for _, i := range cover {
		if d := field(i); d <= slack && !s.compulsoryAtRoot(i, t) {
			slack -= d
			continue
		}
		s.mark(literal{2 * i, t})
		s.mark(literal{2*i + 1, s.duration[i] - t - 1})
	}
}

// compulsoryAtRoot reports whether task i occupies t without any decision.
func (s *Solver) compulsoryAtRoot(i, t int32) bool {
	if len(s.levels) == 0 {
		return true
	}
	first := s.levels[0]
	return s.boundBefore(2*i, first) <= t && -s.boundBefore(2*i+1, first)+s.duration[i] > t
}

// assemble writes the clause from the marked events and returns the level to backtrack to.
func (s *Solver) assemble() int {
	w := &s.analysis
	slices.SortFunc(w.lower, func(a, b int32) int { return int(b - a) })
	w.sides = w.sides[:0]
	level := int32(0)
	for n, k := range w.lower {
		e := &s.events[k]
		// A later, tighter bound of the same side implies this one.
		if slices.Contains(w.sides, e.side) {
			continue
		}
		w.sides = append(w.sides, e.side)
		w.clause = append(w.clause, literal{e.side, w.bound[k]}.negated())
		if n > 0 {
			level = max(level, e.level)
		}
	}
	for k := 1; k < len(w.clause); k++ {
		if e := s.eventOf(w.clause[k].negated()); s.events[e].level == level {
			w.clause[1], w.clause[k] = w.clause[k], w.clause[1]
			break
		}
	}
	return int(level)
}

func (s *Solver) eventOf(l literal) int32 {
	k := s.last[l.side]
	for k >= 0 && s.events[k].old <= l.bound {
		k = s.events[k].previous
	}
	return k
}
