package crew_test

import (
	"strings"
	"sync/atomic"
	"testing"

	"bentside/schedule/internal/crew"
)

func TestAPanicOfAWorkerReachesWhoWaitsAndTheOthersEndFirst(t *testing.T) {
	t.Parallel()
	var g crew.Group
	var ended atomic.Int64
	for n := range 8 {
		g.Go(func() {
			defer ended.Add(1)
			if n == 3 {
				theirDeepestCall()
			}
		})
	}
	defer func() {
		p, ok := recover().(*crew.Panic)
		if !ok || p.Value != "out of tune" {
			t.Fatalf("got %v, want the worker's panic", p)
		}
		if !strings.Contains(p.Error(), "theirDeepestCall") {
			t.Errorf("the stack does not lead to the cause:\n%s", p)
		}
		if ended.Load() != 8 {
			t.Errorf("%d of 8 workers had ended", ended.Load())
		}
	}()
	g.Wait()
	t.Error("nothing was raised")
}

func theirDeepestCall() { panic("out of tune") }

func TestWorkersThatDoTheirPartAreWaitedFor(t *testing.T) {
	t.Parallel()
	var g crew.Group
	var done atomic.Int64
	for range 100 {
		g.Go(func() { done.Add(1) })
	}
	g.Wait()
	if done.Load() != 100 {
		t.Errorf("%d of 100 had done their part", done.Load())
	}
}
