package turns_test

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"bentside/api/app/turns"
	"bentside/domain"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

var workshops = []uuid.UUID{{1}, {2}, {3}}

func faultKind(err error) domain.FaultKind {
	var f *domain.Fault
	if !errors.As(err, &f) {
		return ""
	}
	return f.Kind
}

// join takes a place that must not be refused.
func join(t *testing.T, l turns.Line, workshop uuid.UUID) turns.Place {
	t.Helper()
	p, err := l.Join(t.Context(), workshop, false)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestAWorkshopThatAsksOnceIsServedBeforeTheSecondRequestOfAFlood(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 1, Waiting: 10, Quota: 10})
	flood := make([]turns.Place, 6)
	for i := range flood {
		flood[i] = join(t, l, workshops[0])
	}
	once := join(t, l, workshops[1])
	l.Leave(flood[0])
	if flood[1].Width() != 1 || once.Width() != 0 {
		t.Fatal("the first who waited isn't the first to be served")
	}
	l.Leave(flood[1])
	if once.Width() != 1 {
		t.Error("the other workshop waits behind the second request of the flood")
	}
}

func TestBeyondItsQuotaAWorkshopIsRefusedAndOthersAreNot(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 1, Waiting: 10, Quota: 2})
	join(t, l, workshops[0])
	join(t, l, workshops[0])
	_, err := l.Join(t.Context(), workshops[0], false)
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.TooMany || f.RetryAfter <= 0 {
		t.Errorf("got %v, want it refused as too many, with when to come back", err)
	}
	join(t, l, workshops[1])
	if got := l.State(); got.OverQuota != 1 || got.RefusedBusy != 0 || got.Waiting != 2 {
		t.Errorf("got %+v", got)
	}
}

func TestWhatDoesNotFitTheQueueIsRefused(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 1, Waiting: 2, Quota: 9})
	for _, w := range workshops {
		join(t, l, w)
	}
	_, err := l.Join(t.Context(), workshops[0], false)
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Busy || f.RetryAfter <= 0 {
		t.Errorf("got %v, want it refused as busy, with when to come back", err)
	}
}

// A turn that would come when nobody waits for the answer any more only takes it from others.
func TestATurnAfterTheDeadlineIsRefusedAtOnce(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 1, Waiting: 50, Quota: 50})
	for range 20 {
		join(t, l, workshops[0])
	}
	soon, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
	defer cancel()
	if _, err := l.Join(soon, workshops[1], false); faultKind(err) != domain.Busy {
		t.Errorf("got %v, want it refused as busy", err)
	}
}

func TestPlansNeverHoldTheLastTurn(t *testing.T) {
	t.Parallel()
	for workers, widths := range map[int][]int{1: {1, 0}, 2: {1, 0}, 4: {2, 1, 0}, 8: {4, 3, 0}} {
		l := turns.NewLine(turns.Limits{Workers: workers, Waiting: 10, Quota: 10})
		for i, want := range widths {
			p, err := l.Join(t.Context(), workshops[0], true)
			if err != nil || p.Width() != want {
				t.Errorf("%d workers: plan %d has %d turns, %v; want %d", workers, i+1, p.Width(), err, want)
			}
		}
		if workers > 1 && join(t, l, workshops[0]).Width() != 1 {
			t.Errorf("%d workers: a date waits behind plans", workers)
		}
	}
}

func TestWhoGivesUpLeavesTheQueue(t *testing.T) {
	t.Parallel()
	q := turns.New(turns.Limits{Workers: 2})
	var leave []func()
	for q.State().Running < q.Limits().Workers {
		_, l, err := q.Take(t.Context(), uuid.New(), false)
		if err != nil {
			t.Fatal(err)
		}
		leave = append(leave, l)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() {
		_, _, err := q.Take(ctx, workshops[0], false)
		ended <- err
	}()
	for q.State().Waiting == 0 {
		time.Sleep(time.Millisecond)
	}
	cancel()
	if err := <-ended; !errors.Is(err, context.Canceled) || q.State().Waiting != 0 {
		t.Errorf("got %v and %d waiting, want the place given up", err, q.State().Waiting)
	}
	for _, l := range leave {
		l()
	}
	if got := q.State(); got.Running != 0 {
		t.Errorf("%d turns are still taken", got.Running)
	}
}

func TestTheQueueKeepsItsLimitsAndLeavesNoTurnFreeThatSomebodyWaitsFor(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		limits := turns.Limits{
			Workers: rapid.IntRange(1, 5).Draw(t, "workers"),
			Waiting: rapid.IntRange(1, 6).Draw(t, "waiting"),
			Quota:   rapid.IntRange(1, 6).Draw(t, "quota"),
		}
		l := turns.NewLine(limits)
		var in []turns.Place
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			if len(in) > 0 && rapid.Bool().Draw(t, "leave") {
				i := rapid.IntRange(0, len(in)-1).Draw(t, "who")
				l.Leave(in[i])
				in = slices.Delete(in, i, i+1)
			} else if p, err := l.Join(
				context.Background(), rapid.SampledFrom(workshops).Draw(t, "workshop"),
				rapid.Bool().Draw(t, "long"),
			); err == nil {
				in = append(in, p)
			}
			checkTurns(t, l, limits, in)
		}
		for _, p := range in {
			l.Leave(p)
		}
		if got := l.State(); got.Running != 0 || got.Waiting != 0 {
			t.Fatalf("after all have left: %+v", got)
		}
	})
}

func checkTurns(t *rapid.T, l turns.Line, limits turns.Limits, in []turns.Place) {
	t.Helper()
	var running, long, waiting, waitingBrief int
	held := map[uuid.UUID]int{}
	for _, p := range in {
		held[p.Workshop]++
		running += p.Width()
		switch {
		case p.Width() == 0 && p.Long:
			waiting++
		case p.Width() == 0:
			waiting++
			waitingBrief++
		case p.Long:
			long += p.Width()
		}
	}
	most := max(1, limits.Workers-1)
	switch got := l.State(); {
	case got.Running != running || got.Waiting != waiting:
		t.Fatalf("it says %+v, and %d run and %d wait", got, running, waiting)
	case running > limits.Workers || long > most || waiting > limits.Waiting:
		t.Fatalf("%d run, %d of them long, and %d wait: beyond %+v", running, long, waiting, limits)
	case running < limits.Workers && waitingBrief > 0:
		t.Fatalf("somebody waits and %d of %d turns are taken", running, limits.Workers)
	case running < limits.Workers && long < most && waiting > 0:
		t.Fatalf("a plan waits and %d of %d turns are taken, %d for plans", running, limits.Workers, long)
	}
	for w, n := range held {
		if n > limits.Quota {
			t.Fatalf("workshop %v has %d of at most %d", w, n, limits.Quota)
		}
	}
}
