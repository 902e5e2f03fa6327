package lazy

// Window returns when task i may start at present.
func (s *Solver) Window(i int) (low, high int32) { return s.low(int32(i)), s.high(int32(i)) }

// Propagate draws all conclusions; false means a conflict.
func (s *Solver) Propagate() bool { return !s.impossible && s.propagate() }

// Decide fixes one more start as in the given round of restarts; false means that all are fixed.
func (s *Solver) Decide(round int64) bool { return s.decide(round) }

// Level is the number of decisions in force.
func (s *Solver) Level() int { return len(s.levels) }

// Learn analyses the conflict that Propagate has met, backtracks and returns the clause learned;
// false means that there are no starts at all.
func (s *Solver) Learn() ([]Bound, bool) {
	s.learn()
	return bounds(s.analysis.clause), !s.impossible
}

// Backtrack takes decisions back, except for the first ones.
func (s *Solver) Backtrack(level int) { s.backtrack(level) }

// Clauses are those that were learned and kept.
func (s *Solver) Clauses() [][]Bound {
	var all [][]Bound
	for _, c := range s.clauses {
		all = append(all, bounds(s.arena[c.from:c.from+c.size]))
	}
	return all
}

// Free is the capacity that compulsory parts leave.
func (s *Solver) Free() []uint64 { return s.free }

// Conflicts is how many the search has met since Load.
func (s *Solver) Conflicts() int64 { return s.conflicts }

// Bound says that a task starts at the latest, or else at the earliest, at a tick.
type Bound struct {
	Task   int
	Latest bool
	Tick   int32
}

func bounds(clause []literal) []Bound {
	var list []Bound
	for _, l := range clause {
		b := Bound{Task: int(l.side >> 1), Latest: l.side&1 == 0, Tick: l.bound}
		if !b.Latest {
			b.Tick = -l.bound
		}
		list = append(list, b)
	}
	return list
}

// Luby is the sequence of restarts.
func Luby(i int64) int64 { return luby(i) }
