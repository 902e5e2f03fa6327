package lazy_test

import (
	"reflect"
	"slices"
	"testing"

	"bentside/schedule/internal/lazy"
)

// crowd asks for n tasks of 2 ticks on room places within last ticks.
func crowd(n int, room uint64, last int32) *lazy.Model {
	m := &lazy.Model{Words: 1, Guard: []uint64{8}}
	for range n {
		m.Low, m.High = append(m.Low, 0), append(m.High, last-2)
		m.Duration, m.Need = append(m.Duration, 2), append(m.Need, 1)
	}
	for range last {
		m.Free = append(m.Free, 8|room)
	}
	return m
}

func TestTasksFitExactlyWhenThereIsRoomForAllOfThem(t *testing.T) {
	t.Parallel()
	s := lazy.Solver{RestartUnit: 100} // reloaded on purpose: nothing may stay behind
	for _, tc := range []struct {
		tasks int
		room  uint64
		last  int32
		want  lazy.Answer
	}{
		{3, 1, 6, lazy.Found},
		{4, 1, 7, lazy.Impossible},
		{4, 2, 4, lazy.Found},
		{5, 2, 5, lazy.Impossible},
		{6, 3, 4, lazy.Found},
		{1, 1, 2, lazy.Found},
		{1, 1, 1, lazy.Impossible}, // its window is empty
	} {
		m := crowd(tc.tasks, tc.room, tc.last)
		s.Load(m)
		if got := s.Search(1 << 30); got != tc.want {
			t.Errorf("%+v: answer %d", tc, got)
			continue
		}
		if tc.want != lazy.Found {
			continue
		}
		for tick := range tc.last {
			running := uint64(0)
			for _, start := range s.Starts {
				if start <= tick && tick < start+2 {
					running++
				}
			}
			if running > tc.room {
				t.Errorf("%+v: %d run at tick %d: %v", tc, running, tick, s.Starts)
			}
		}
		again := slices.Clone(s.Starts)
		if s.Load(m); s.Search(1<<30) != lazy.Found || !reflect.DeepEqual(s.Starts, again) {
			t.Errorf("%+v: %v became %v", tc, again, s.Starts)
		}
	}
}

func TestASearchNeverSpendsMoreThanItsBudget(t *testing.T) {
	t.Parallel()
	for budget := range int64(400) {
		s := lazy.Solver{RestartUnit: 100}
		s.Load(crowd(13, 3, 9)) // four at a time three abreast and one too many
		answer := s.Search(budget)
		if s.Spent > budget {
			t.Errorf("spent %d of %d", s.Spent, budget)
		}
		if answer == lazy.Found {
			t.Errorf("budget %d: found starts that do not exist: %v", budget, s.Starts)
		}
	}
}

// Two tasks that must start together don't fit: every start is fixed before that shows.
func TestABudgetThatAConflictUsesUpIsNotExceeded(t *testing.T) {
	t.Parallel()
	m := crowd(2, 1, 3)
	m.Duration = []int32{1, 1}
	m.Edges = []lazy.Edge{{From: 0, To: 1}, {From: 1, To: 0}}
	for budget := range int64(12) {
		s := lazy.Solver{RestartUnit: 100}
		s.Load(m)
		if got := s.Search(budget); got == lazy.Found || s.Spent > budget {
			t.Errorf("answer %d after %d of %d", got, s.Spent, budget)
		}
	}
}

func TestTighterWindowsAndEdgesAreKept(t *testing.T) {
	t.Parallel()
	m := crowd(2, 2, 9)
	m.Edges = []lazy.Edge{{From: 0, To: 1, Lag: 3}, {From: 1, To: 0, Lag: -4}}
	s := lazy.Solver{RestartUnit: 100}
	s.Load(m)
	if s.SetLatestStart(1, 4); s.Search(100) != lazy.Found {
		t.Fatal("no starts found")
	}
	if gap := s.Starts[1] - s.Starts[0]; gap < 3 || gap > 4 || s.Starts[1] > 4 {
		t.Errorf("starts %v, want 3 to 4 apart and the second by 4", s.Starts)
	}
	if s.SetLatestStart(1, 2); s.Search(100) != lazy.Impossible {
		t.Errorf("starts %v with the second by 2", s.Starts)
	}
}

func TestAClosedStopEndsTheSearch(t *testing.T) {
	t.Parallel()
	stop := make(chan struct{})
	close(stop)
	s := lazy.Solver{Stop: stop, RestartUnit: 100}
	if s.Load(crowd(3, 1, 6)); s.Search(100) != lazy.Unknown {
		t.Error("searched on")
	}
}
