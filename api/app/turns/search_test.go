package turns_test

import (
	"context"
	"testing"
	"time"

	"bentside/api/app/turns"
	"bentside/domain"

	"github.com/google/uuid"
)

func TestASearchLeavesTimeForThePlansThatWaitForItsTurn(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 2, Waiting: 10, Quota: 10})
	ctx, cancel := context.WithTimeout(t.Context(), 24*time.Second)
	defer cancel()
	first := joinLong(t, l, 0)
	search := l.Search(ctx, first, 40*time.Second)
	if left := l.Left(first); left > 20*time.Second {
		t.Errorf("it may go on for %v, and the request ends in 24 s and must store its plan", left)
	}
	second := joinLong(t, l, 1)
	if left := l.Left(first); left > 8*time.Second || left < 4*time.Second {
		t.Errorf("with one more waiting it may go on for %v, want half of 20 s less 4", left)
	}
	joinLong(t, l, 2)
	if left := l.Left(first); left > 2*time.Second || left < 0 {
		t.Errorf("with two more waiting it may go on for %v, want half of 8 s less 4", left)
	}
	l.Leave(first)
	again := l.Search(ctx, second, 40*time.Second)
	if left := l.Left(second); left > 8*time.Second || left < 4*time.Second {
		t.Errorf("the next one, for which one waits, may go on for %v, want half of 24 s less 4", left)
	}
	brief := l.Search(ctx, second, time.Millisecond)
	<-brief.Done()
	if search.Err() != nil || again.Err() != nil {
		t.Error("a search ended before its time")
	}
}

func TestMorePlansThanCanBeMadeInTimeAreRefusedAtOnce(t *testing.T) {
	t.Parallel()
	l := turns.NewLine(turns.Limits{Workers: 2, Waiting: 10, Quota: 10})
	joinLong(t, l, 0)
	joinLong(t, l, 0)
	if _, err := l.Join(t.Context(), workshops[0], true); faultKind(err) != domain.TooMany {
		t.Errorf("a workshop's third plan: got %v, want it refused as too many", err)
	}
	joinLong(t, l, 1)
	joinLong(t, l, 2)
	if _, err := l.Join(t.Context(), uuid.New(), true); faultKind(err) != domain.Busy {
		t.Errorf("a fourth plan to wait: got %v, want it refused as busy", err)
	}
	join(t, l, workshops[0])
}

// joinLong takes a place for a long computation, which must not be refused.
func joinLong(t *testing.T, l turns.Line, workshop int) turns.Place {
	t.Helper()
	p, err := l.Join(t.Context(), workshops[workshop], true)
	if err != nil {
		t.Fatal(err)
	}
	return p
}
