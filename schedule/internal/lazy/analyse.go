package lazy

import (
	"math/bits"
	"slices"
)

// analysis is the scratch space of conflict analysis.
type analysis struct {
	mark    []int32 // per event: stamp
	need    []int32 // per event: the bound that the conflict really uses
	stamp   int32
	current int // marked events of the current level not yet resolved
	lower   []int32
	clause  []lit
	seen    []int32 // per level
	tight   []int32 // per side: latest marked event
	sides   []int32
	cover   []int32
}

// analyse turns trouble into a clause that is false now and had one literal
// undecided at an earlier level (first unique implication point). It returns
// that level, -1 if no decision is to blame; the clause is in work.clause, the
// asserting literal first.
func (s *Solver) analyse() int {
	w := &s.work
	w.mark, w.need = grow(w.mark, len(s.events)), grow(w.need, len(s.events))
	w.tight = grow(w.tight, 2*s.n)
	w.seen = grow(w.seen, len(s.levels)+1)
	w.stamp++
	w.current, w.lower, w.clause = 0, w.lower[:0], w.clause[:0]
	t := s.trouble
	if t.need.side >= 0 {
		s.blame(t.need.not())
	}
	s.explain(t.why, t.a, t.b, t.need, narrow(len(s.events)))
	if w.current == 0 {
		// Nothing of this level is to blame: the trouble is older.
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
		for w.mark[k] != w.stamp || s.events[k].level != narrow(len(s.levels)) {
			k--
		}
		w.current--
		if w.current == 0 {
			break
		}
		e := &s.events[k]
		s.explain(e.why, e.a, e.b, lit{e.side, w.need[k]}, k)
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

// blame notes that the conflict needs l, which holds now.
func (s *Solver) blame(l lit) {
	k := s.last[l.side]
	for k >= 0 && s.events[k].old <= l.bound {
		k = s.events[k].previous
	}
	if k < 0 || s.events[k].level == 0 {
		return
	}
	w := &s.work
	if w.mark[k] == w.stamp {
		w.need[k] = min(w.need[k], l.bound)
		return
	}
	w.mark[k], w.need[k] = w.stamp, l.bound
	s.score[l.side>>1] += s.bump
	if s.events[k].level == narrow(len(s.levels)) {
		w.current++
	} else {
		w.lower = append(w.lower, k)
	}
}

// explain blames the literals that made l true just before event at.
func (s *Solver) explain(why cause, a, b int32, l lit, at int32) {
	switch why {
	case byEdge:
		s.blame(lit{a, l.bound + b})
	case byClause:
		c := &s.clauses[a]
		for _, x := range s.arena[c.from : c.from+c.size] {
			if x.side != l.side {
				s.blame(x.not())
			}
		}
	case byCover:
		s.explainCover(a, b, l, at)
	case decided:
	}
}

// before returns the bound of a side just before event at.
func (s *Solver) before(side, at int32) int32 {
	k := s.last[side]
	now := s.bound[side]
	for k >= at {
		now = s.events[k].old
		k = s.events[k].previous
	}
	return now
}

// explainCover blames enough of the tasks that certainly run at tick t to leave
// too little of one resource.
func (s *Solver) explainCover(t, where int32, l lit, at int32) {
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
			s.blame(lit{l.side, s.duration[self] - t - 1})
		} else {
			s.blame(lit{l.side, t})
		}
	}
	cover := s.work.cover[:0]
	for i := range narrow(s.n) {
		d := field(i)
		if d == 0 || i == self {
			continue
		}
		if s.before(2*i, at) <= t && -s.before(2*i+1, at)+s.duration[i] > t {
			slack += d
			cover = append(cover, i)
		}
	}
	s.work.cover = cover
	for _, i := range cover {
		if d := field(i); d <= slack && !s.atRoot(i, t) {
			slack -= d
			continue
		}
		s.blame(lit{2 * i, t})
		s.blame(lit{2*i + 1, s.duration[i] - t - 1})
	}
}

// atRoot reports whether task i covers t without any decision.
func (s *Solver) atRoot(i, t int32) bool {
	if len(s.levels) == 0 {
		return true
	}
	first := s.levels[0]
	return s.before(2*i, first) <= t && -s.before(2*i+1, first)+s.duration[i] > t
}

// assemble writes the clause from the marked events and returns the level to
// jump to.
func (s *Solver) assemble() int {
	w := &s.work
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
		w.clause = append(w.clause, lit{e.side, w.need[k]}.not())
		if n > 0 {
			level = max(level, e.level)
		}
	}
	for k := 1; k < len(w.clause); k++ {
		if e := s.eventOf(w.clause[k].not()); s.events[e].level == level {
			w.clause[1], w.clause[k] = w.clause[k], w.clause[1]
			break
		}
	}
	return int(level)
}

func (s *Solver) eventOf(l lit) int32 {
	k := s.last[l.side]
	for k >= 0 && s.events[k].old <= l.bound {
		k = s.events[k].previous
	}
	return k
}
