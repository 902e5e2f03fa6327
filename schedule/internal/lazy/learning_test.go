package lazy_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule/internal/lazy"
)

// repeat checks a property on more problems than usual: they are tiny, and the hard ones rare.
func repeat(t *testing.T, property func(*rapid.T)) {
	t.Helper()
	for range 5 {
		rapid.Check(t, property)
	}
}

func TestASearchAgreesWithTryingAllStarts(t *testing.T) {
	t.Parallel()
	var reused lazy.Solver
	conflicts, answers := int64(0), map[lazy.Answer]int{}
	repeat(t, func(t *rapid.T) {
		p := drawProblem(t)
		m, all := p.model(), p.solutions()
		s := lazy.Solver{RestartUnit: rapid.Int64Range(1, 3).Draw(t, "restart")}
		reused.RestartUnit = s.RestartUnit
		s.Load(m)
		reused.Load(m)
		got, again := s.Search(1<<40), reused.Search(1<<40)
		if got != again || s.Spent != reused.Spent ||
			got == lazy.Found && !slices.Equal(s.Starts, reused.Starts) {
			t.Fatalf("a solver that has served other models answers otherwise than a fresh one")
		}
		// Until the next conflict each task is fixed once at most, so that this is always enough.
		enough := lazy.Solver{RestartUnit: s.RestartUnit}
		enough.Load(m)
		budget := s.Spent + int64(len(p.low))
		if got := enough.Search(budget); got != again || enough.Spent != s.Spent {
			t.Fatalf("with %d to spend: answer %d after %d, without end %d after %d", budget, got,
				enough.Spent, again, s.Spent)
		}
		conflicts += s.Conflicts()
		answers[got]++
		switch got {
		case lazy.Unknown:
			t.Fatal("no answer within a budget without end")
		case lazy.Impossible:
			if len(all) > 0 {
				t.Fatalf("called impossible, but %v keep everything", all[0])
			}
		case lazy.Found:
			if !p.keeps(s.Starts) {
				t.Fatalf("found %v, which do not keep everything", s.Starts)
			}
		}
		for _, c := range s.Clauses() {
			for _, starts := range all {
				if !meets(c, starts) {
					t.Fatalf("learned %v, but %v keep everything", c, starts)
				}
			}
		}
	})
	if !testing.Short() &&
		(conflicts < 50 || answers[lazy.Found] < 10 || answers[lazy.Impossible] < 10) {
		t.Errorf("%d conflicts, answers %v: too easy to mean anything", conflicts, answers)
	}
}

// The latest start of one task is lowered until nothing is left: the last one found is the least.
func TestTighteningAWindowEndsWithTheLeastStart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		i := rapid.IntRange(0, len(p.low)-1).Draw(t, "task")
		least, found := int32(0), false
		for _, starts := range p.solutions() {
			if !found || starts[i] < least {
				least, found = starts[i], true
			}
		}
		s := lazy.Solver{RestartUnit: 2}
		s.Load(p.model())
		got, ok := int32(0), false
		for s.Search(1<<40) == lazy.Found {
			if !p.keeps(s.Starts) || ok && s.Starts[i] >= got {
				t.Fatalf("found %v after a start at %d of task %d", s.Starts, got, i)
			}
			got, ok = s.Starts[i], true
			s.SetLatestStart(int32(i), got-1)
		}
		if ok != found || got != least {
			t.Fatalf("task %d starts at %d at the earliest, found: %v; want %d, %v", i, got, ok,
				least, found)
		}
	})
}

// window is when a task may start.
type window struct{ low, high int32 }

func windows(s *lazy.Solver, tasks int) []window {
	all := make([]window, tasks)
	for i := range all {
		all[i].low, all[i].high = s.Window(i)
	}
	return all
}

// falsified reports whether no start inside the windows meets a bound.
func falsified(b lazy.Bound, in []window) bool {
	if b.Latest {
		return in[b.Task].low > b.Tick
	}
	return in[b.Task].high < b.Tick
}

// satisfied reports whether every start inside the windows meets a bound.
func satisfied(b lazy.Bound, in []window) bool {
	if b.Latest {
		return in[b.Task].high <= b.Tick
	}
	return in[b.Task].low >= b.Tick
}

// A search is taken step by step, with everything that the textbooks say of one checked at each.
func TestEachStepOfASearchIsSoundAndComplete(t *testing.T) {
	t.Parallel()
	decisions, conflicts, jumps := 0, 0, 0
	repeat(t, func(t *rapid.T) {
		p := drawProblem(t)
		all := p.solutions()
		var s lazy.Solver
		s.Load(p.model())
		var levels [][]window // after propagation at each level
		var decided []lazy.Bound
		for {
			if !s.Propagate() {
				if s.Level() == 0 {
					break
				}
				conflicts++
				levels = append(levels[:s.Level()], windows(&s, len(p.low)))
				clause, possible := s.Learn()
				if !possible {
					break
				}
				checkLearned(t, clause, levels, windows(&s, len(p.low)), s.Level())
				if s.Level() < len(levels)-2 {
					jumps++
				}
				for _, starts := range all {
					if !meets(clause, starts) {
						t.Fatalf("learned %v, but %v keep everything", clause, starts)
					}
				}
				levels, decided = levels[:min(len(levels), s.Level())], decided[:s.Level()]
				continue
			}
			now := windows(&s, len(p.low))
			levels = append(levels[:s.Level()], now)
			checkPropagated(t, p, &s, now)
			for _, starts := range all {
				against := func(b lazy.Bound) bool { return !meets([]lazy.Bound{b}, starts) }
				if !slices.ContainsFunc(decided, against) && !inside(starts, now) {
					t.Fatalf("%v keep everything and the decisions %v, but not the windows %v",
						starts, decided, now)
				}
			}
			if !s.Decide(1) {
				return
			}
			decisions++
			decided = append(decided, decision(t, p, &s, now))
		}
		if len(all) > 0 {
			t.Fatalf("refuted, but %v keep everything", all[0])
		}
	})
	if !testing.Short() && (decisions < 100 || conflicts < 50 || jumps < 5) {
		t.Errorf("%d decisions, %d conflicts, %d jumps over a level: too easy to mean anything",
			decisions, conflicts, jumps)
	}
}

func inside(starts []int32, in []window) bool {
	for i, s := range starts {
		if s < in[i].low || s > in[i].high {
			return false
		}
	}
	return true
}

// decision returns what was decided: that of the tasks that may start at several ticks and need a
// resource, the one that can start first starts as early as it can, and of several the one whose
// latest start is the earliest (the rule of minimum latest start time; Kolisch 1996, from memory).
func decision(t *rapid.T, p *problem, s *lazy.Solver, before []window) lazy.Bound {
	for i, now := range windows(s, len(before)) {
		if now == before[i] {
			continue
		}
		if now.low != before[i].low || now.high != now.low {
			t.Fatalf("task %d was decided from %v to %v", i, before[i], now)
		}
		for j, other := range before {
			if other.low < now.low && other.low < other.high && p.needs(j) {
				t.Fatalf("task %d was decided for %d, though task %d could start at %d", i, now.low,
					j, other.low)
			}
			if other.low == now.low && other.low < other.high && other.high < before[i].high &&
				p.needs(j) {
				t.Fatalf("task %d, which may wait until %d, was decided before task %d, which may not",
					i, before[i].high, j)
			}
		}
		return lazy.Bound{Task: i, Latest: true, Tick: now.low}
	}
	t.Fatal("a decision that changes nothing")
	return lazy.Bound{}
}

// checkLearned checks a clause against the windows of each level up to the conflict: it was false,
// one bound of it had become so at the conflict's level only (the first unique implication point),
// and the search is back at the level at which all the others had (Marques-Silva and Sakallah 1999,
// from memory), with that one bound asserted.
func checkLearned(t *rapid.T, clause []lazy.Bound, levels [][]window, now []window, level int) {
	depth := func(b lazy.Bound) int {
		return slices.IndexFunc(levels, func(in []window) bool { return falsified(b, in) })
	}
	last, before, atLast := 0, 0, 0
	for _, b := range clause {
		switch k := depth(b); {
		case k <= 0:
			t.Fatalf("bound %v of %v became false at level %d", b, clause, k)
		case k > last:
			last, before, atLast = k, last, 1
		case k == last:
			atLast++
		default:
			before = max(before, k)
		}
	}
	if atLast != 1 || level != before {
		t.Fatalf("%d bounds of %v became false at level %d; back at %d, the others at %d", atLast,
			clause, last, level, before)
	}
	for _, b := range clause {
		if depth(b) == last != satisfied(b, now) || depth(b) != last && !falsified(b, now) {
			t.Fatalf("bound %v of %v at level %d, in windows %v", b, clause, level, now)
		}
	}
}

// checkPropagated checks that nothing is left to conclude from windows: by links, by compulsory
// parts (timetabling) and by clauses (unit propagation).
func checkPropagated(t *rapid.T, p *problem, s *lazy.Solver, now []window) {
	for _, e := range p.edges {
		if from, to := now[e.From], now[e.To]; to.low < from.low+e.Lag ||
			from.high > to.high-e.Lag {
			t.Fatalf("link %+v is not propagated between %v and %v", e, from, to)
		}
	}
	for r, units := range p.capacity {
		for tick := range int32(len(units)) {
			left := int64(units[tick])
			for i, w := range now {
				if w.high <= tick && tick < w.low+p.duration[i] {
					left -= int64(p.demand[i][r])
				}
			}
			for i, w := range now {
				if w.high <= tick && tick < w.low+p.duration[i] {
					continue // in its own compulsory part
				}
				early := w.low <= tick && tick < w.low+p.duration[i]
				late := w.high <= tick && tick < w.high+p.duration[i]
				if (early || late) && int64(p.demand[i][r]) > left {
					t.Fatalf("task %d may run at tick %d in %v, where %d of resource %d are left",
						i, tick, w, left, r)
				}
			}
			if left < 0 {
				t.Fatalf("compulsory parts overload resource %d at tick %d: %v", r, tick, now)
			}
		}
	}
	m := p.model()
	for i, w := range now {
		for tick := w.high; tick < w.low+p.duration[i]; tick++ {
			for k := range m.Words {
				m.Free[int(tick)*m.Words+k] -= m.Need[i*m.Words+k]
			}
		}
	}
	if !slices.Equal(s.Free(), m.Free) {
		t.Fatalf("free are %x in windows %v, want %x", s.Free(), now, m.Free)
	}
	for _, c := range s.Clauses() {
		open := 0
		for _, b := range c {
			if !falsified(b, now) {
				open++
			}
		}
		if open < 2 &&
			!slices.ContainsFunc(c, func(b lazy.Bound) bool { return satisfied(b, now) }) {
			t.Fatalf("clause %v is not propagated in windows %v", c, now)
		}
	}
}
