package lazy_test

import (
	"slices"
	"testing"

	"bentside/schedule/internal/lazy"
)

// Luby, Sinclair and Zuckerman, Information Processing Letters 47 (1993), from memory.
func TestRestartsFollowTheLubySequence(t *testing.T) {
	t.Parallel()
	for k, want := range []int64{1, 1, 2, 1, 1, 2, 4, 1, 1, 2, 1, 1, 2, 4, 8, 1} {
		if got := lazy.Luby(int64(k) + 1); got != want {
			t.Errorf("term %d is %d, want %d", k+1, got, want)
		}
	}
}

// Of tasks of two ticks, three places take nine within six ticks and another tick helps no tenth
// one: counting shows it at once, clauses only after thousands of conflicts, and so after clauses
// were dropped.
func TestAProofByCountingIsFoundThoughClausesAreDropped(t *testing.T) {
	t.Parallel()
	for _, unit := range []int64{1, 25} {
		s := lazy.Solver{RestartUnit: unit}
		s.Load(crowd(10, 3, 7))
		if got := s.Search(1 << 40); got != lazy.Impossible {
			t.Errorf("restarts by %d: answer %d", unit, got)
		}
		if kept := int64(len(s.Clauses())); s.Conflicts() < 2000 || kept > s.Conflicts()-100 {
			t.Errorf("restarts by %d: %d clauses kept after %d conflicts", unit, kept,
				s.Conflicts())
		}
		s.Load(crowd(9, 3, 7))
		if got := s.Search(1 << 40); got != lazy.Found {
			t.Errorf("restarts by %d: answer %d for one task fewer", unit, got)
		}
	}
}

// Clauses that join two levels only are kept for ever (Audemard and Simon 2009, from memory).
func TestNoClauseOfTwoLevelsIsDropped(t *testing.T) {
	t.Parallel()
	s := lazy.Solver{RestartUnit: 1}
	s.Load(crowd(10, 3, 7))
	var short [][]lazy.Bound
	for budget := int64(500); s.Search(budget) == lazy.Unknown; budget += 500 {
		all := s.Clauses()
		if n := s.Conflicts(); n < 2000 && int64(len(all)) != n {
			t.Fatalf("%d clauses are left after %d conflicts, before there are many", len(all), n)
		}
		for _, c := range short {
			if !contains(all, c) {
				t.Fatalf("%v was dropped", c)
			}
		}
		short = short[:0]
		for _, c := range all {
			if len(c) <= 2 {
				short = append(short, c)
			}
		}
	}
	if len(short) == 0 {
		t.Error("no clause of two bounds was ever learned")
	}
}

func contains(all [][]lazy.Bound, clause []lazy.Bound) bool {
	return slices.ContainsFunc(all, func(c []lazy.Bound) bool {
		return len(c) == len(clause) && !slices.ContainsFunc(c, func(b lazy.Bound) bool {
			return !slices.Contains(clause, b)
		})
	})
}

// Two kinds of tasks share no resource: those of the first can start first but never conflict.
// Until the first restart the earliest is decided, from then on the task of most conflicts
// (variable-state independent decaying sum: Moskewicz and others 2001, from memory).
func TestAfterARestartTheTasksOfMostConflictsAreDecidedFirst(t *testing.T) {
	t.Parallel()
	m := crowd(7, 2, 8)
	m.Words, m.Guard = 2, []uint64{8, 8}
	need, free := m.Need, m.Free
	m.Need, m.Free = nil, nil
	for i := range need {
		m.Low[i]++ // the crowd has 7 ticks left for what takes 7 and a half
		m.Need = append(m.Need, need[i], 0)
	}
	for range 3 {
		m.Low, m.High, m.Duration = append(m.Low, 0), append(m.High, 5), append(m.Duration, 1)
		m.Need = append(m.Need, 0, 1)
	}
	for _, units := range free {
		m.Free = append(m.Free, units, 8|3)
	}
	var s lazy.Solver
	s.Load(m)
	decided := func(round int64) int {
		before := windows(&s, len(m.Low))
		if !s.Propagate() || !s.Decide(round) {
			t.Fatal("nothing to decide")
		}
		for i, now := range windows(&s, len(m.Low)) {
			if now != before[i] {
				return i
			}
		}
		t.Fatal("a decision that changes nothing")
		return -1
	}
	for range 3 {
		if i := decided(1); i < 7 {
			t.Errorf("task %d was decided before those that can start first", i)
		}
	}
	for s.Propagate() {
		s.Decide(1)
	}
	if _, possible := s.Learn(); !possible {
		t.Fatal("one conflict was enough")
	}
	s.Backtrack(0)
	if i := decided(2); i >= 7 {
		t.Errorf("task %d, which never met a conflict, was decided first after a restart", i)
	}
}

// gadget adds four tasks on one resource of four places, from a tick on. The first is fixed and
// runs for four ticks on one place; the second, on one place, and the third, on two, would run
// beside it if they started as early as they can; the fourth wants two places for one of the last
// three ticks. It can't have them beside the first and the third, whatever the second does.
func gadget(m *lazy.Model, resource int, from int32) {
	for _, x := range []struct {
		low, high, duration int32
		places              uint64
	}{{0, 0, 4, 1}, {0, 9, 4, 1}, {0, 9, 4, 2}, {1, 3, 1, 2}} {
		m.Low, m.High = append(m.Low, from+x.low), append(m.High, from+x.high)
		m.Duration = append(m.Duration, x.duration)
		need := make([]uint64, m.Words)
		need[resource] = x.places
		m.Need = append(m.Need, need...)
	}
}

// twoGadgets are tasks of two kinds that share nothing, the second kind later than the first.
func twoGadgets() *lazy.Model {
	m := &lazy.Model{Words: 2, Guard: []uint64{8, 8}}
	gadget(m, 0, 1)
	gadget(m, 1, 4)
	for range 20 {
		m.Free = append(m.Free, 8|4, 8|4)
	}
	return m
}

// nextConflict decides the first task that can start until a conflict is met, and learns from it.
func nextConflict(t *testing.T, s *lazy.Solver) []lazy.Bound {
	t.Helper()
	for s.Propagate() {
		if !s.Decide(1) {
			t.Fatal("no conflict")
		}
	}
	clause, possible := s.Learn()
	if !possible {
		t.Fatal("refuted")
	}
	return clause
}

// What leaves too little room is explained by no more tasks than it takes, and tasks that are there
// in any case don't count among them (Schutt and others 2011, from memory): the third has to wait
// whatever was decided of the second.
func TestAnExplanationNamesNoMoreDecisionsThanItTakes(t *testing.T) {
	t.Parallel()
	var s lazy.Solver
	s.Load(twoGadgets())
	clause := nextConflict(t, &s)
	if len(clause) != 1 || clause[0].Task != 2 || clause[0].Latest || s.Level() != 0 {
		t.Errorf("learned %v at level %d, want the third task to wait in any case", clause, s.Level())
	}
	if low, _ := s.Window(2); low <= 1 {
		t.Errorf("the third task may start at %d", low)
	}
}

// Of tasks that met as many conflicts, those of the latest are decided first: older conflicts fade
// (Moskewicz and others 2001, from memory).
func TestTheLatestConflictsCountMost(t *testing.T) {
	t.Parallel()
	var s lazy.Solver
	s.Load(twoGadgets())
	for _, kind := range []int{0, 1} {
		if clause := nextConflict(t, &s); clause[0].Task/4 != kind {
			t.Fatalf("learned %v, want a conflict of kind %d", clause, kind)
		}
	}
	s.Backtrack(0)
	before := windows(&s, 8)
	if !s.Propagate() || !s.Decide(2) {
		t.Fatal("nothing to decide")
	}
	for i, now := range windows(&s, 8) {
		if now != before[i] && now.low == now.high && i < 4 {
			t.Errorf("task %d, whose conflict is older, was decided first", i)
		}
	}
}

// Each task must start after the other: propagation walks the windows shut, tick by tick.
func TestLinksThatContradictEachOtherAreRefuted(t *testing.T) {
	t.Parallel()
	for _, width := range []int32{10, 100_000} {
		m := &lazy.Model{
			Low: []int32{0, 0}, High: []int32{width, width}, Duration: []int32{1, 1},
			Words: 1, Guard: []uint64{8}, Need: []uint64{0, 0}, Free: []uint64{8},
			Edges: []lazy.Edge{{From: 0, To: 1, Lag: 1}, {From: 1, To: 0, Lag: 1}},
		}
		s := lazy.Solver{RestartUnit: 100}
		s.Load(m)
		if got := s.Search(1 << 40); got != lazy.Impossible || s.Conflicts() != 1 {
			t.Errorf("windows of %d ticks: answer %d after %d conflicts", width, got, s.Conflicts())
		}
	}
}

// What needs nothing waits for links alone and starts as early as they allow.
func TestWhatNeedsNoResourceStartsAsEarlyAsLinksAllow(t *testing.T) {
	t.Parallel()
	m := crowd(3, 1, 9)
	for range 2 {
		m.Low, m.High = append(m.Low, 1), append(m.High, 9)
		m.Duration, m.Need = append(m.Duration, 4), append(m.Need, 0)
	}
	for range 5 {
		m.Free = append(m.Free, m.Free[0])
	}
	m.Edges = []lazy.Edge{{From: 2, To: 3, Lag: 2}, {From: 3, To: 4, Lag: -1}}
	s := lazy.Solver{RestartUnit: 100}
	s.Load(m)
	if got := s.Search(1 << 40); got != lazy.Found {
		t.Fatalf("answer %d", got)
	}
	third := max(1, s.Starts[2]+2)
	if s.Starts[3] != third || s.Starts[4] != max(1, third-1) {
		t.Errorf("starts %v, want the last two at %d and %d", s.Starts, third, max(1, third-1))
	}
}

// A task that a link moves onto ticks taken long ago moves on from there.
func TestATaskThatALinkMovesLooksForRoomAnew(t *testing.T) {
	t.Parallel()
	m := crowd(3, 1, 12) // the first runs at ticks 5 and 6, the second for one tick
	m.Low[0], m.High[0], m.Duration[1], m.Need[2] = 5, 5, 1, 0
	m.Edges = []lazy.Edge{{From: 1, To: 2}}
	var s lazy.Solver
	s.Load(m)
	if !s.Propagate() {
		t.Fatal("refuted")
	}
	s.SetLatestStart(2, 6)
	if !s.Propagate() {
		t.Fatal("refuted once the third starts by 6")
	}
	if low, high := s.Window(1); low != 0 || high != 4 {
		t.Errorf("the second may start from %d to %d, want up to 4", low, high)
	}
}

// Every start that is fixed counts once: by its own window, by a decision, or by propagation.
func TestFixedStartsAreCountedOnce(t *testing.T) {
	t.Parallel()
	fixed := crowd(4, 4, 6)
	fixed.High = []int32{0, 0, 0, 0}
	linked := crowd(4, 4, 6)
	for i := range int32(3) {
		linked.Edges = append(linked.Edges, lazy.Edge{From: i, To: i + 1},
			lazy.Edge{From: i + 1, To: i})
	}
	idle := crowd(4, 4, 6)
	idle.Need = make([]uint64, 4)
	for name, m := range map[string]*lazy.Model{
		"by windows": fixed, "by a decision and three links": linked,
		"by decisions":       crowd(4, 4, 6),
		"by needing nothing": idle,
	} {
		s := lazy.Solver{RestartUnit: 100}
		s.Load(m)
		if got := s.Search(4); got != lazy.Found || s.Spent != 4 {
			t.Errorf("%s: answer %d after %d starts, want 4", name, got, s.Spent)
		}
		s.Load(m)
		if got := s.Search(3); got != lazy.Unknown || s.Spent > 3 && name != "by windows" {
			t.Errorf("%s: answer %d after %d starts of 3", name, got, s.Spent)
		}
	}
}

// A search that has ended without an answer goes on where it was told to stop, with what it has
// learned, and comes to the answer of a search with the whole budget.
func TestASearchGoesOnWhereItsBudgetEnded(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		tasks int
		want  lazy.Answer
	}{{7, lazy.Impossible}, {6, lazy.Found}} {
		s := lazy.Solver{RestartUnit: 5}
		s.Load(crowd(c.tasks, 2, 7))
		answer, budget := lazy.Unknown, int64(0)
		for ; answer == lazy.Unknown && budget < 5000; budget += 20 {
			if answer = s.Search(budget); s.Spent > budget {
				t.Fatalf("%d tasks: spent %d of %d", c.tasks, s.Spent, budget)
			}
			if low, high := s.Window(0); answer == lazy.Unknown && s.Level() != 0 {
				t.Fatalf("%d tasks: left at level %d, task 0 from %d to %d", c.tasks, s.Level(),
					low, high)
			}
		}
		if answer != c.want {
			t.Errorf("%d tasks: answer %d after %d, want %d", c.tasks, answer, budget, c.want)
		}
	}
}
