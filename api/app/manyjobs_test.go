package app_test

import (
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
)

// Both plans have been worked out, and neither is written yet, when the hours are booked: over the
// only connection of the service, so that they would wait for ever if a plan held it.
func TestTwoPlansOf120JobsSucceedAtOnceAndHoursDoNotWaitForThem(t *testing.T) {
	t.Parallel()
	writing, goOn := make(chan struct{}, 2), make(chan struct{})
	a, db := opened(t, 1, func() time.Time {
		if within("(*App).MakePlan", "(*App).write") {
			writing <- struct{}{}
			<-goOn
		}
		return morning
	})
	s := shop{T: t, app: a, db: db, who: founded(t, a)}
	jobs := s.joinMany(120)
	before, err := a.Read(t.Context(), s.who).FeedPosition(t.Context())
	s.ok(err)
	var both sync.WaitGroup
	var made [2]app.StoredPlan
	var errs [2]error
	for i := range made {
		both.Go(func() {
			made[i], errs[i] = a.MakePlan(t.Context(), s.who, app.PlanRequest{
				Schedules: 3, Seed: int64(i), Limit: time.Minute,
			})
			if errs[i] != nil {
				writing <- struct{}{} // it won't come so far
			}
		})
	}
	<-writing
	<-writing
	if open, locks := s.inTransactions(); open != 0 || locks != 0 {
		t.Errorf("%d transactions are open and %d locks held while plans are made", open, locks)
	}
	s.book(jobs[60])
	close(goOn)
	both.Wait()
	for i, p := range made {
		s.ok(errs[i])
		if got := len(planInputs(t, a, s.who, p).Jobs); got != len(jobs) {
			t.Errorf("plan %d has %d jobs, want %d", i, got, len(jobs))
		}
		if p.Moved == nil || p.Moved.Subject != jobs[60].ID {
			t.Errorf("plan %d says %+v has moved since, want the hours", i, p.Moved)
		}
	}
	events, err := a.Read(t.Context(), s.who).Events(t.Context(), before, 10)
	s.ok(err)
	var kinds []domain.EventKind
	for _, e := range events {
		kinds = append(kinds, e.Kind)
	}
	if want := []domain.EventKind{
		domain.TaskProgressed, domain.PlanMade, domain.PlanMade,
	}; !slices.Equal(kinds, want) {
		t.Errorf("it went %v, want %v", kinds, want)
	}
}

// joinMany takes over so many pianos at once, which is quicker than to accept one after the other.
func (s shop) joinMany(n int) (jobs []job.Job) {
	s.Helper()
	today := domain.DateOf(morning)
	one := joining(today).Pianos[1]
	one.Tasks = nil
	for _, code := range []catalogue.Code{"DS-01", "KY-01", "AC-01", "RG-01", "TU-01", "QC-01"} {
		one.Tasks = append(one.Tasks, job.JoiningTask{Operation: code, Left: dec("5")})
	}
	many := job.Join{JoinedOn: today}
	for range n {
		many.Pianos = append(many.Pianos, one)
	}
	_, err := s.app.Join(s.Context(), s.who, many, false)
	s.ok(err)
	for _, j := range s.jobs() {
		jobs = append(jobs, j.Value)
	}
	return jobs
}

// within reports whether all these functions are being run by the calling goroutine.
func within(functions ...string) bool {
	var calls [64]uintptr
	frames := runtime.CallersFrames(calls[:runtime.Callers(2, calls[:])])
	var names strings.Builder
	for more := true; more; {
		var f runtime.Frame
		f, more = frames.Next()
		names.WriteString(f.Function + "\n")
	}
	return !slices.ContainsFunc(functions, func(f string) bool {
		return !strings.Contains(names.String(), f)
	})
}
