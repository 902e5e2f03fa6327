package lazy

import "slices"

// Search looks for a plan until Spent could exceed spend, or Stop is closed.
func (s *Solver) Search(spend int64) Answer {
	// Restarts follow Luby et al. 1993, from memory.
	unit := max(1, s.RestartUnit)
	restart, round := s.conflicts+unit, int64(1)
	s.checkAt = len(s.events) + checkInterval
	for {
		if s.impossible {
			return Impossible
		}
		if s.gaveUp || s.exceeds(spend) || s.conflicts&15 == 0 && s.stopped() {
			s.backtrack(0)
			return Unknown
		}
		if !s.propagate() {
			s.conflicts++
			if len(s.levels) == 0 {
				s.impossible = true
				return Impossible
			}
			if s.Spent >= spend { // the learned clause would fix one more start
				s.backtrack(0)
				return Unknown
			}
			s.learn()
			continue
		}
		if s.gaveUp {
			continue
		}
		if s.conflicts >= restart {
			round++
			restart = s.conflicts + unit*luby(round)
			if s.backtrack(0); !s.exceeds(spend) {
				s.reduceClauses()
			}
			continue
		}
		if !s.decide(round) {
			s.Spent += int64(s.n - s.fixed)
			s.Starts = s.Starts[:0]
			for i := range narrow(s.n) {
				s.Starts = append(s.Starts, s.low(i))
			}
			s.backtrack(0)
			return Found
		}
	}
}

// A chain of propagations may be as long as time multiplied by the number of tasks. Every
// checkInterval events the search checks whether to stop, and at eventsMax, which take some 128
// MiB, it gives up.
const checkInterval, eventsMax = 1 << 16, 1 << 22

// checkGiveUp reports whether propagation should stop for good.
func (s *Solver) checkGiveUp() bool {
	if len(s.events) >= s.checkAt {
		s.checkAt = len(s.events) + checkInterval
		s.gaveUp = len(s.events) > eventsMax || s.stopped()
	}
	return s.gaveUp
}

// exceeds reports whether propagation up to the next conflict, which may fix every task not yet
// fixed, could exceed the budget.
func (s *Solver) exceeds(spend int64) bool { return s.Spent+int64(s.n-s.fixed) > spend }

func (s *Solver) stopped() bool {
	select {
	case <-s.Stop:
		return true
	default:
		return false
	}
}

// learn adds the clause behind the conflict and backtracks.
func (s *Solver) learn() {
	level := s.analyse()
	if level < 0 {
		s.impossible = true
		return
	}
	lits := s.analysis.clause
	s.bump /= 0.95
	if s.bump > 1e100 {
		for i := range s.score {
			s.score[i] *= 1e-100
		}
		s.bump *= 1e-100
	}
	spread := s.blockDistance(lits)
	s.backtrack(level)
	if len(lits) == 1 {
		if !s.set(lits[0], byClause, s.add(lits, spread), 0) {
			s.impossible = true
		}
		return
	}
	c := s.add(lits, spread)
	s.watch(c, lits[0], lits[1])
	s.watch(c, lits[1], lits[0])
	s.assertLearned(lits[0], c)
}

// assertLearned asserts a fresh clause; a conflict right away is left for propagate to find through
// the clause's own watches.
func (s *Solver) assertLearned(l literal, c int32) {
	if !s.set(l, byClause, c, 0) {
		s.conflictPending = true
	}
}

func (s *Solver) add(lits []literal, spread int32) int32 {
	s.clauses = append(s.clauses,
		clause{
			from: narrow(len(s.arena)), size: narrow(len(lits)), distance: spread, learned: true,
		})
	s.arena = append(s.arena, lits...)
	s.learned++
	return narrow(len(s.clauses) - 1)
}

// blockDistance counts the decision levels that a clause's literals belong to (literal block
// distance: Audemard and Simon 2009, from memory).
func (s *Solver) blockDistance(lits []literal) int32 {
	count := int32(0)
	w := &s.analysis
	for _, l := range lits {
		if k := s.eventOf(l.negated()); k >= 0 {
			if level := s.events[k].level; w.seen[level] != w.stamp {
				w.seen[level] = w.stamp
				count++
			}
		}
	}
	return count
}

// decide fixes one more start, or returns false if all are fixed.
func (s *Solver) decide(round int64) bool {
	best := int32(-1)
	for i := range narrow(s.n) {
		if s.low(i) == s.high(i) {
			continue
		}
		if !s.usesResource[i] {
			continue // uses no resource: its earliest start will do
		}
		if best < 0 || s.precedes(i, best, round) {
			best = i
		}
	}
	if best < 0 {
		return false
	}
	s.levels = append(s.levels, narrow(len(s.events)))
	if !s.set(literal{2 * best, s.low(best)}, byDecision, 0, 0) {
		s.conflictPending = true
	}
	return true
}

func (s *Solver) precedes(i, j int32, round int64) bool {
	if round > 1 && s.score[i] != s.score[j] {
		return s.score[i] > s.score[j]
	}
	if s.low(i) != s.low(j) {
		return s.low(i) < s.low(j)
	}
	return s.high(i) < s.high(j)
}

// reduceClauses drops the learned clauses above the median block distance once there are many. It
// may only be called at the root.
func (s *Solver) reduceClauses() {
	if s.learned < 2000+int(s.conflicts/20) {
		return
	}
	var spreads []int32
	for k := range s.clauses {
		if c := &s.clauses[k]; !c.dropped {
			spreads = append(spreads, c.distance)
		}
	}
	slices.Sort(spreads)
	middle := spreads[len(spreads)/2]
	for k := range s.watches[:2*s.n] {
		s.watches[k] = s.watches[k][:0]
	}
	kept, arena := s.clauses[:0], s.arena[:0]
	for k := range s.clauses {
		c := s.clauses[k]
		if c.distance > max(middle, 2) {
			continue
		}
		from := narrow(len(arena))
		arena = append(arena, s.arena[c.from:c.from+c.size]...)
		c.from = from
		kept = append(kept, c)
	}
	s.clauses, s.arena = kept, arena
	s.learned = len(kept)
	for k := range s.clauses {
		s.rewatchAtRoot(int32(k))
	}
}

// rewatchAtRoot gives a clause two watches that aren't false, if it has them.
func (s *Solver) rewatchAtRoot(k int32) {
	c := &s.clauses[k]
	lits := s.arena[c.from : c.from+c.size]
	if len(lits) < 2 {
		return
	}
	front := 0
	for j := 0; j < len(lits) && front < 2; j++ {
		if !s.isFalse(lits[j]) {
			lits[front], lits[j] = lits[j], lits[front]
			front++
		}
	}
	if front == 0 || front == 1 && !s.set(lits[0], byClause, k, 0) {
		s.impossible = true
	}
	s.watch(k, lits[0], lits[1])
	s.watch(k, lits[1], lits[0])
}

func luby(i int64) int64 {
	for k := int64(1); ; k++ {
		if i == 1<<k-1 {
			return 1 << (k - 1)
		}
		if i < 1<<k-1 {
			return luby(i - 1<<(k-1) + 1)
		}
	}
}
