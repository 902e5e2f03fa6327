package lazy

// lit says "side ≤ bound". Side 2i is the start of task i, side 2i+1 its
// negative, so lower and upper bounds are one mechanism: start ≥ v is the
// literal {2i+1, -v}.
type lit struct{ side, bound int32 }

func (l lit) not() lit { return lit{l.side ^ 1, -l.bound - 1} }

type cause uint8

const (
	decided cause = iota
	byClause
	byEdge
	byCover
)

// event is one tightening of a bound and why it happened.
type event struct {
	side     int32
	old, now int32
	previous int32 // earlier event of the same side, -1 for none
	level    int32
	why      cause
	a, b     int32 // clause; or edge source and lag; or tick and guard bit
}

type edge struct{ to, lag int32 } // side to ≤ own bound − lag

type watch struct {
	clause, trigger int32 // wakes when the side's bound is ≤ trigger
	blocker         lit
}

type clause struct {
	from, size int32 // literals in the arena
	spread     int32 // levels it joins; small is valuable
	learned    bool
	dropped    bool
}

// Model is the question: can every task start inside its window, edges and
// capacity kept?
type Model struct {
	Low, High []int32 // window of each start
	Duration  []int32
	Words     int      // machine words per tick
	Guard     []uint64 // one bit above each resource's field
	Need      []uint64 // packed demand, Words per task
	Free      []uint64 // packed free capacity, guard bits set, Words per tick
	Edges     []Edge
}

// Edge demands start(To) ≥ start(From) + Lag.
type Edge struct{ From, To, Lag int32 }

// Answer is the outcome of a search.
type Answer int

// Unknown means the budget ended first.
const (
	Unknown Answer = iota
	Found
	Impossible
)

// Solver searches one model. It may be reloaded with another; buffers stay.
type Solver struct {
	Spent     int64           // starts fixed since Load, by window, decision or conclusion
	Conflicts int64           // since Load
	Starts    []int32         // plan after Found
	Stop      <-chan struct{} // optional: closed when the search should give up
	Pace      int64           // conflicts up to the first restart; few suit a small budget

	n          int
	fixed      int // tasks whose window is one tick at the moment
	words      int
	duration   []int32
	guard      []uint64
	need       []uint64
	free       []uint64
	base       []uint64
	bound      []int32
	last       []int32
	edges      [][]edge
	watches    [][]watch
	events     []event
	levels     []int32 // event count at the start of each level
	head       int
	clauses    []clause
	arena      []lit
	learned    int
	score      []float64
	bump       float64
	coverLo    []int32
	coverHi    []int32
	dirty      []bool
	dirtyLo    int32
	dirtyHi    int32
	trouble    conflict
	work       analysis
	impossible bool
	deferred   bool   // trouble found outside propagate
	pause      int    // events at which to look whether to give up
	hopeless   bool   // given up: conclusions are missing, so nothing more is drawn
	loaded     []bool // task needs some resource
}

// conflict describes why the current bounds cannot hold.
type conflict struct {
	why  cause
	a, b int32
	need lit // for bounds that cross: the literal that could not be set
}

// Load prepares a model. Slices of m are copied where the solver changes them.
func (s *Solver) Load(m *Model) {
	s.n, s.words = len(m.Low), m.Words
	s.duration, s.guard, s.need, s.base = m.Duration, m.Guard, m.Need, m.Free
	s.free = append(s.free[:0], m.Free...)
	s.bound, s.last = s.bound[:0], s.last[:0]
	for len(s.edges) < 2*s.n {
		s.edges = append(s.edges, nil)
		s.watches = append(s.watches, nil)
	}
	s.score, s.dirty = resize(s.score, s.n), resize(s.dirty, s.n)
	s.coverLo, s.coverHi = resize(s.coverLo, s.n), resize(s.coverHi, s.n)
	for i := range s.n {
		s.bound = append(s.bound, m.High[i], -m.Low[i])
		s.last = append(s.last, -1, -1)
		for k := 2 * i; k < 2*i+2; k++ {
			s.edges[k], s.watches[k] = s.edges[k][:0], s.watches[k][:0]
		}
		s.score[i] = 0
		s.coverLo[i], s.coverHi[i] = 0, 0
	}
	for _, e := range m.Edges {
		s.edges[2*e.From+1] = append(s.edges[2*e.From+1], edge{2*e.To + 1, e.Lag})
		s.edges[2*e.To] = append(s.edges[2*e.To], edge{2 * e.From, e.Lag})
	}
	s.events, s.levels, s.clauses, s.arena = s.events[:0], s.levels[:0], s.clauses[:0], s.arena[:0]
	s.head, s.learned, s.bump = 0, 0, 1
	s.Spent, s.Conflicts, s.fixed = 0, 0, 0
	s.impossible, s.deferred, s.hopeless = false, false, false
	s.clean()
	s.loaded = resize(s.loaded, s.n)
	for i := range s.n {
		s.loaded[i] = false
		for k := range s.words {
			s.loaded[i] = s.loaded[i] || m.Need[i*s.words+k] != 0
		}
		s.impossible = s.impossible || m.Low[i] > m.High[i]
		if m.Low[i] == m.High[i] {
			s.fixed++
			s.Spent++
		}
		s.dirty[i] = true
		for _, k := range []int32{int32(2 * i), int32(2*i + 1)} {
			s.events = append(s.events, event{side: k, old: s.bound[k], now: s.bound[k], previous: -1})
		}
	}
	if s.impossible {
		return
	}
	for i := range s.n {
		if !s.cover(int32(i)) {
			s.impossible = true
		}
	}
	s.dirtyLo, s.dirtyHi = 0, 1<<30
}

func resize[T any](x []T, n int) []T {
	if cap(x) < n {
		return make([]T, n, n+n/2)
	}
	return x[:n]
}

func (s *Solver) low(i int32) int32  { return -s.bound[2*i+1] }
func (s *Solver) high(i int32) int32 { return s.bound[2*i] }

func (s *Solver) isTrue(l lit) bool  { return s.bound[l.side] <= l.bound }
func (s *Solver) isFalse(l lit) bool { return -s.bound[l.side^1] > l.bound }

// set tightens a bound. It returns false on a conflict, described in trouble.
func (s *Solver) set(l lit, why cause, a, b int32) bool {
	if s.bound[l.side] <= l.bound {
		return true
	}
	opposite := -s.bound[l.side^1]
	if l.bound < opposite {
		s.trouble = conflict{why: why, a: a, b: b, need: l}
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
	s.dirty[i] = true
	return s.cover(i)
}

// cover books the ticks that task i occupies wherever it starts in its window.
func (s *Solver) cover(i int32) bool {
	lo, hi := s.high(i), s.low(i)+s.duration[i]
	if lo >= hi {
		return true
	}
	oldLo, oldHi := s.coverLo[i], s.coverHi[i]
	s.coverLo[i], s.coverHi[i] = lo, hi
	if oldLo >= oldHi {
		return s.book(i, lo, hi)
	}
	ok := s.book(i, lo, oldLo)
	return s.book(i, oldHi, hi) && ok
}

func (s *Solver) book(i, lo, hi int32) bool {
	if lo >= hi {
		return true
	}
	s.dirtyLo, s.dirtyHi = min(s.dirtyLo, lo), max(s.dirtyHi, hi)
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
				s.trouble = conflict{why: byCover, a: t, b: k<<8 | missing(left, guard), need: lit{-1, 0}}
			}
		}
	}
	return ok
}

// uncover takes back what cover booked, after bounds were loosened.
func (s *Solver) uncover(i int32) {
	oldLo, oldHi := s.coverLo[i], s.coverHi[i]
	if oldLo >= oldHi {
		return
	}
	lo, hi := s.high(i), s.low(i)+s.duration[i]
	if lo >= hi {
		s.coverLo[i], s.coverHi[i] = 0, 0
		s.unbook(i, oldLo, oldHi)
		return
	}
	s.coverLo[i], s.coverHi[i] = lo, hi
	s.unbook(i, oldLo, lo)
	s.unbook(i, hi, oldHi)
}

func (s *Solver) unbook(i, lo, hi int32) {
	w := narrow(s.words)
	for k := range w {
		if need := s.need[i*w+k]; need != 0 {
			for t := lo; t < hi; t++ {
				s.free[t*w+k] += need
			}
		}
	}
}

func (s *Solver) clean() {
	s.dirtyLo, s.dirtyHi = 1<<30, -1
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
		s.uncover(e.side >> 1)
		s.dirty[e.side>>1] = false
	}
	s.events = s.events[:keep]
	s.levels = s.levels[:level]
	s.deferred = false
	s.head = keep
	s.clean()
	clear(s.dirty[:s.n])
}

// Finish demands that task i starts at high or earlier, for good.
func (s *Solver) Finish(i, high int32) {
	if !s.set(lit{2 * i, high}, decided, 0, 0) {
		s.impossible = true
	}
}

// narrow shortens a number that the model keeps far inside 32 bits.
func narrow(v int) int32 { return int32(v) } //nolint:gosec // see above
