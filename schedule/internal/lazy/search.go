package lazy

import "slices"

// Search looks for a plan until Spent could pass spend, or Stop is closed.
func (s *Solver) Search(spend int64) Answer {
	// The pace of restarts follows Luby et al. 1993, from memory.
	unit := max(1, s.Pace)
	restart, round := s.Conflicts+unit, int64(1)
	s.pause = len(s.events) + pauseAfter
	for {
		if s.impossible {
			return Impossible
		}
		if s.hopeless || s.over(spend) || s.Conflicts&15 == 0 && s.stopped() {
			s.backtrack(0)
			return Unknown
		}
		if !s.propagate() {
			s.Conflicts++
			if len(s.levels) == 0 {
				s.impossible = true
				return Impossible
			}
			if s.Spent >= spend { // the clause would fix one more
				s.backtrack(0)
				return Unknown
			}
			s.learn()
			continue
		}
		if s.hopeless {
			continue
		}
		if s.Conflicts >= restart {
			round++
			restart = s.Conflicts + unit*luby(round)
			if s.backtrack(0); !s.over(spend) {
				s.forget()
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

// A chain of conclusions may be as long as time and number of tasks multiplied.
// Every pauseAfter conclusions the search looks whether to stop, and at mostEvents,
// which take some 128 MiB, it gives up.
const pauseAfter, mostEvents = 1 << 16, 1 << 22

// givesUp reports that no more conclusions should be drawn from this model.
func (s *Solver) givesUp() bool {
	if len(s.events) >= s.pause {
		s.pause = len(s.events) + pauseAfter
		s.hopeless = len(s.events) > mostEvents || s.stopped()
	}
	return s.hopeless
}

// over reports that conclusions up to the next conflict, which may fix every
// task not yet fixed, could pass the budget.
func (s *Solver) over(spend int64) bool { return s.Spent+int64(s.n-s.fixed) > spend }

func (s *Solver) stopped() bool {
	select {
	case <-s.Stop:
		return true
	default:
		return false
	}
}

// learn adds the clause behind the conflict and jumps back.
func (s *Solver) learn() {
	level := s.analyse()
	if level < 0 {
		s.impossible = true
		return
	}
	lits := s.work.clause
	s.bump /= 0.95
	if s.bump > 1e100 {
		for i := range s.score {
			s.score[i] *= 1e-100
		}
		s.bump *= 1e-100
	}
	spread := s.spread(lits)
	s.backtrack(level)
	if len(lits) == 1 {
		if !s.set(lits[0], byClause, s.add(lits, spread), 0) {
			s.impossible = true
		}
		return
	}
	c := s.add(lits, spread)
	s.watchLit(c, lits[0], lits[1])
	s.watchLit(c, lits[1], lits[0])
	s.pending(lits[0], c)
}

// pending asserts a fresh clause; a conflict right away is left for propagate
// to find through the clause's own watches.
func (s *Solver) pending(l lit, c int32) {
	if !s.set(l, byClause, c, 0) {
		s.deferred = true
	}
}

func (s *Solver) add(lits []lit, spread int32) int32 {
	s.clauses = append(s.clauses, clause{from: narrow(len(s.arena)), size: narrow(len(lits)), spread: spread, learned: true})
	s.arena = append(s.arena, lits...)
	s.learned++
	return narrow(len(s.clauses) - 1)
}

// spread counts the levels that a clause joins.
func (s *Solver) spread(lits []lit) int32 {
	count := int32(0)
	w := &s.work
	for _, l := range lits {
		if k := s.eventOf(l.not()); k >= 0 {
			if level := s.events[k].level; w.seen[level] != w.stamp {
				w.seen[level] = w.stamp
				count++
			}
		}
	}
	return count
}

// decide fixes one more start, or reports that all are fixed.
func (s *Solver) decide(round int64) bool {
	best := int32(-1)
	for i := range narrow(s.n) {
		if s.low(i) == s.high(i) {
			continue
		}
		if !s.loaded[i] {
			continue // free of resources: its earliest start will do
		}
		if best < 0 || s.prefer(i, best, round) {
			best = i
		}
	}
	if best < 0 {
		return false
	}
	s.levels = append(s.levels, narrow(len(s.events)))
	if !s.set(lit{2 * best, s.low(best)}, decided, 0, 0) {
		s.deferred = true
	}
	return true
}

func (s *Solver) prefer(i, j int32, round int64) bool {
	if round > 1 && s.score[i] != s.score[j] {
		return s.score[i] > s.score[j]
	}
	if s.low(i) != s.low(j) {
		return s.low(i) < s.low(j)
	}
	return s.high(i) < s.high(j)
}

// forget drops the less valuable half of the learned clauses once they are
// many. Only called at the root.
func (s *Solver) forget() {
	if s.learned < 2000+int(s.Conflicts/20) {
		return
	}
	var spreads []int32
	for k := range s.clauses {
		if c := &s.clauses[k]; !c.dropped {
			spreads = append(spreads, c.spread)
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
		if c.spread > max(middle, 2) {
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

// rewatchAtRoot gives a clause two watches that are not refuted, if it has them.
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
	s.watchLit(k, lits[0], lits[1])
	s.watchLit(k, lits[1], lits[0])
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
