package lazy

// literal says "side ≤ bound". Side 2i is the start of task i, side 2i+1 its negation, so lower and
// upper bounds share one mechanism: start ≥ v is the literal {2i+1, -v}.
type literal struct{ side, bound int32 }

func (l literal) negated() literal { return literal{l.side ^ 1, -l.bound - 1} }

type reason uint8

const (
	byDecision reason = iota
	byClause
	byEdge
	byTimetable
)

// event is one tightening of a bound and the reason for it.
type event struct {
	side     int32
	old, now int32
	previous int32 // earlier event of the same side, -1 for none
	level    int32
	why      reason
	a, b     int32 // clause; or edge source and lag; or tick and guard bit
}

type edge struct{ to, lag int32 } // side to ≤ own bound − lag

type watch struct {
	clause, trigger int32 // visited when the side's bound is ≤ trigger
	blocker         literal
}

type clause struct {
	from, size int32 // literals in the arena
	distance   int32 // block distance; small is valuable
	learned    bool
	dropped    bool
}

// Model asks: can every task start inside its window so that edges and capacity are kept?
type Model struct {
	Low, High []int32 // window of each start
	Duration  []int32
	Words     int      // machine words per tick
	Guard     []uint64 // one bit above each resource's field
	Need      []uint64 // packed demand, Words per task
	Free      []uint64 // packed free capacity, guard bits set, Words per tick
	Edges     []Edge
}

// Edge requires start(To) ≥ start(From) + Lag.
type Edge struct{ From, To, Lag int32 }

// Answer is the outcome of a search.
type Answer int

// The outcomes. Unknown: the budget ended first.
const (
	Unknown Answer = iota
	Found
	Impossible
)

// Solver searches one model. It may be reloaded with another; buffers stay.
type Solver struct {
	Spent       int64           // starts fixed since Load, by window, decision or propagation
	Starts      []int32         // starts after Found
	Stop        <-chan struct{} // optional: closed to stop the search
	RestartUnit int64           // conflicts before the first restart; few suit a small budget

	n               int
	fixed           int // tasks whose window is one tick at the moment
	words           int
	duration        []int32
	guard           []uint64
	need            []uint64
	free            []uint64
	base            []uint64
	bound           []int32
	last            []int32
	edges           [][]edge
	watches         [][]watch
	events          []event
	levels          []int32 // number of events at the start of each level
	head            int
	clauses         []clause
	arena           []literal
	learned         int
	conflicts       int64 // since Load
	score           []float64
	bump            float64
	compulsoryFrom  []int32
	compulsoryTo    []int32
	changed         []bool
	changedFrom     int32
	changedTo       int32
	conflict        conflict
	analysis        analysis
	impossible      bool
	conflictPending bool   // a conflict was found outside propagate
	checkAt         int    // number of events at which to check whether to give up
	gaveUp          bool   // propagation is incomplete, so nothing more is derived
	usesResource    []bool // per task: it needs some resource
}

// conflict says why the current bounds can't hold.
type conflict struct {
	why    reason
	a, b   int32
	failed literal // for crossing bounds: the literal that could not be set
}

// Load prepares a model. Slices of m are copied if the solver changes them.
func (s *Solver) Load(m *Model) {
	s.n, s.words = len(m.Low), m.Words
	s.duration, s.guard, s.need, s.base = m.Duration, m.Guard, m.Need, m.Free
	s.free = append(s.free[:0], m.Free...)
	s.bound, s.last = s.bound[:0], s.last[:0]
	for len(s.edges) < 2*s.n {
		s.edges = append(s.edges, nil)
		s.watches = append(s.watches, nil)
	}
	s.score, s.changed = resize(s.score, s.n), resize(s.changed, s.n)
	s.compulsoryFrom, s.compulsoryTo = resize(s.compulsoryFrom, s.n), resize(s.compulsoryTo, s.n)
	for i := range s.n {
		s.bound = append(s.bound, m.High[i], -m.Low[i])
		s.last = append(s.last, -1, -1)
		for k := 2 * i; k < 2*i+2; k++ {
			s.edges[k], s.watches[k] = s.edges[k][:0], s.watches[k][:0]
		}
		s.score[i] = 0
		s.compulsoryFrom[i], s.compulsoryTo[i] = 0, 0
	}
	for _, e := range m.Edges {
		s.edges[2*e.From+1] = append(s.edges[2*e.From+1], edge{2*e.To + 1, e.Lag})
		s.edges[2*e.To] = append(s.edges[2*e.To], edge{2 * e.From, e.Lag})
	}
	s.events, s.levels, s.clauses, s.arena = s.events[:0], s.levels[:0], s.clauses[:0], s.arena[:0]
	s.head, s.learned, s.bump = 0, 0, 1
	s.Spent, s.conflicts, s.fixed = 0, 0, 0
	s.impossible, s.conflictPending, s.gaveUp = false, false, false
	s.clearChanged()
	s.usesResource = resize(s.usesResource, s.n)
	for i := range s.n {
		s.usesResource[i] = false
		for k := range s.words {
			s.usesResource[i] = s.usesResource[i] || m.Need[i*s.words+k] != 0
		}
		s.impossible = s.impossible || m.Low[i] > m.High[i]
		if m.Low[i] == m.High[i] {
			s.fixed++
			s.Spent++
		}
		s.changed[i] = true
		for _, k := range []int32{int32(2 * i), int32(2*i + 1)} {
			s.events = append(s.events,
				event{side: k, old: s.bound[k], now: s.bound[k], previous: -1})
		}
	}
	if s.impossible {
		return
	}
	for i := range s.n {
		if !s.extendCompulsory(int32(i)) {
			s.impossible = true
		}
	}
	s.changedFrom, s.changedTo = 0, 1<<30
}

func resize[T any](x []T, n int) []T {
	if cap(x) < n {
		return make([]T, n, n+n/2)
	}
	return x[:n]
}

func (s *Solver) low(i int32) int32  { return -s.bound[2*i+1] }
func (s *Solver) high(i int32) int32 { return s.bound[2*i] }

func (s *Solver) isTrue(l literal) bool  { return s.bound[l.side] <= l.bound }
func (s *Solver) isFalse(l literal) bool { return -s.bound[l.side^1] > l.bound }

// set tightens a bound. It returns false on a conflict, described in conflict.
func (s *Solver) set(l literal, why reason, a, b int32) bool {
	if s.bound[l.side] <= l.bound {
		return true
	}
	opposite := -s.bound[l.side^1]
	if l.bound < opposite {
		s.conflict = conflict{why: why, a: a, b: b, failed: l}
		return false
	}
	s.events = append(s.events, event{
		side: l.side, old: s.bound[l.side], now: l.bound, previous: s.last[l.side],
		level: narrow(len(s.levels)), why: why, a: a, b: b,
	})
	s.last[l.side] = narrow(len(s.events) - 1)
	s.bound[l.side] = l.bound
	if l.bound == opposite {
		s.Spent++
		s.fixed++
	}
	i := l.side >> 1
	s.changed[i] = true
	return s.extendCompulsory(i)
}

// extendCompulsory reserves the compulsory part of task i: the ticks that it occupies wherever it
// starts in its window.
func (s *Solver) extendCompulsory(i int32) bool {
	lo, hi := s.high(i), s.low(i)+s.duration[i]
	if lo >= hi {
		return true
	}
	oldLo, oldHi := s.compulsoryFrom[i], s.compulsoryTo[i]
	s.compulsoryFrom[i], s.compulsoryTo[i] = lo, hi
	if oldLo >= oldHi {
		return s.reserve(i, lo, hi)
	}
	ok := s.reserve(i, lo, oldLo)
	return s.reserve(i, oldHi, hi) && ok
}

func (s *Solver) reserve(i, lo, hi int32) bool {
	if lo >= hi {
		return true
	}
	s.changedFrom, s.changedTo = min(s.changedFrom, lo), max(s.changedTo, hi)
	ok := true
	w := narrow(s.words)
	for k := range w {
		need, guard := s.need[i*w+k], s.guard[k]
		if need == 0 {
			continue
		}
		for t := lo; t < hi; t++ {
			left := s.free[t*w+k] - need
			s.free[t*w+k] = left
			if left&guard != guard && ok {
				ok = false
				s.conflict = conflict{
					why: byTimetable, a: t, b: k<<8 | overloadedBit(left, guard),
					failed: literal{-1, 0},
				}
			}
		}
	}
	return ok
}

// shrinkCompulsory releases what extendCompulsory reserved, after bounds were loosened.
func (s *Solver) shrinkCompulsory(i int32) {
	oldLo, oldHi := s.compulsoryFrom[i], s.compulsoryTo[i]
	if oldLo >= oldHi {
		return
	}
	lo, hi := s.high(i), s.low(i)+s.duration[i]
	if lo >= hi {
		s.compulsoryFrom[i], s.compulsoryTo[i] = 0, 0
		s.unreserve(i, oldLo, oldHi)
		return
	}
	s.compulsoryFrom[i], s.compulsoryTo[i] = lo, hi
	s.unreserve(i, oldLo, lo)
	s.unreserve(i, hi, oldHi)
}

func (s *Solver) unreserve(i, lo, hi int32) {
	w := narrow(s.words)
	for k := range w {
		if need := s.need[i*w+k]; need != 0 {
			for t := lo; t < hi; t++ {
				s.free[t*w+k] += need
			}
		}
	}
}

func (s *Solver) clearChanged() {
	s.changedFrom, s.changedTo = 1<<30, -1
}

// backtrack undoes everything above a level.
func (s *Solver) backtrack(level int) {
	if len(s.levels) <= level {
		return
	}
	keep := int(s.levels[level])
	for k := len(s.events) - 1; k >= keep; k-- {
		e := &s.events[k]
		if s.bound[e.side] == -s.bound[e.side^1] {
			s.fixed--
		}
		s.bound[e.side] = e.old
		s.last[e.side] = e.previous
		s.shrinkCompulsory(e.side >> 1)
		s.changed[e.side>>1] = false
	}
	s.events = s.events[:keep]
	s.levels = s.levels[:level]
	s.conflictPending = false
	s.head = keep
	s.clearChanged()
	clear(s.changed[:s.n])
}

// SetLatestStart requires that task i starts at high or earlier, for good.
func (s *Solver) SetLatestStart(i, high int32) {
	if !s.set(literal{2 * i, high}, byDecision, 0, 0) {
		s.impossible = true
	}
}

// narrow converts a number that the model keeps far inside 32 bits.
func narrow(v int) int32 { return int32(v) } //nolint:gosec // see above
