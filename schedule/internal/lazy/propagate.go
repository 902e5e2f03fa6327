package lazy

import "math/bits"

// propagate propagates to a fixed point and returns false on a conflict.
func (s *Solver) propagate() bool {
	if s.conflictPending {
		s.conflictPending = false
		return false
	}
	for {
		for s.head < len(s.events) {
			if s.checkGiveUp() {
				return true
			}
			e := &s.events[s.head]
			s.head++
			side := e.side
			now := s.bound[side]
			for _, x := range s.edges[side] {
				if !s.set(literal{x.to, now - x.lag}, byEdge, side, x.lag) {
					return false
				}
			}
			if !s.visitWatches(side) {
				return false
			}
		}
		before := len(s.events)
		if !s.timetable() {
			return false
		}
		if len(s.events) == before || s.gaveUp {
			return true
		}
	}
}

// visitWatches visits the clauses that watch a literal which the side's bound falsifies.
func (s *Solver) visitWatches(side int32) bool {
	list := s.watches[side]
	now := s.bound[side]
	kept := 0
	for k := 0; k < len(list); k++ {
		w := list[k]
		if now > w.trigger || s.isTrue(w.blocker) {
			list[kept] = w
			kept++
			continue
		}
		moved, ok := s.rewatch(w, side)
		if !moved {
			list[kept] = w
			kept++
		}
		if !ok {
			kept += copy(list[kept:], list[k+1:])
			s.watches[side] = list[:kept]
			return false
		}
	}
	s.watches[side] = list[:kept]
	return true
}

// rewatch finds the clause another literal to watch; without one it asserts the last literal or
// reports a conflict.
func (s *Solver) rewatch(w watch, side int32) (moved, ok bool) {
	c := &s.clauses[w.clause]
	if c.dropped {
		return true, true
	}
	lits := s.arena[c.from : c.from+c.size]
	refuted := literal{side ^ 1, -w.trigger - 1}
	if lits[0] == refuted {
		lits[0], lits[1] = lits[1], lits[0]
	}
	if s.isTrue(lits[0]) {
		return false, true
	}
	for k := 2; k < len(lits); k++ {
		if !s.isFalse(lits[k]) {
			lits[1], lits[k] = lits[k], lits[1]
			s.watch(w.clause, lits[1], lits[0])
			return true, true
		}
	}
	if s.isFalse(lits[0]) {
		s.conflict = conflict{why: byClause, a: w.clause, failed: literal{-1, 0}}
		return false, false
	}
	return false, s.set(lits[0], byClause, w.clause, 0)
}

func (s *Solver) watch(clause int32, l, blocker literal) {
	s.watches[l.side^1] = append(s.watches[l.side^1], watch{clause, -l.bound - 1, blocker})
}

// timetable moves starts away from ticks where compulsory parts leave too little.
func (s *Solver) timetable() bool {
	lo, hi := s.changedFrom, s.changedTo
	s.clearChanged()
	for i := range narrow(s.n) {
		early, late, p := s.low(i), s.high(i), s.duration[i]
		if early == late {
			s.changed[i] = false
			continue
		}
		if !s.changed[i] && (early >= hi || early+p <= lo) && (late >= hi || late+p <= lo) {
			continue
		}
		s.changed[i] = false
		if s.checkGiveUp() {
			return true
		}
		for k := range narrow(s.words) {
			if need := s.need[i*narrow(s.words)+k]; need != 0 &&
				(!s.raiseStart(i, k, need) || !s.lowerStart(i, k, need)) {
				return false
			}
		}
	}
	return true
}

func (s *Solver) raiseStart(i, k int32, need uint64) bool {
	guard, w, p := s.guard[k], narrow(s.words), s.duration[i]
	early := s.low(i)
	for t := min(early+p, s.high(i)) - 1; t >= early; t-- {
		left := s.free[t*w+k] - need
		if left&guard == guard {
			continue
		}
		if !s.set(literal{2*i + 1, -(t + 1)}, byTimetable, t, k<<8|overloadedBit(left, guard)) {
			return false
		}
		early = t + 1
		t = min(early+p, s.high(i))
	}
	return true
}

func (s *Solver) lowerStart(i, k int32, need uint64) bool {
	guard, w, p := s.guard[k], narrow(s.words), s.duration[i]
	late := s.high(i)
	for t := max(late, s.low(i)+p); t < late+p; t++ {
		left := s.free[t*w+k] - need
		if left&guard == guard {
			continue
		}
		if !s.set(literal{2 * i, t - p}, byTimetable, t, k<<8|overloadedBit(left, guard)) {
			return false
		}
		late = t - p
		t = max(late, s.low(i)+p) - 1
	}
	return true
}

// overloadedBit returns the position of a guard bit that the subtraction cleared.
func overloadedBit(left, guard uint64) int32 {
	return narrow(bits.TrailingZeros64(^left & guard))
}
