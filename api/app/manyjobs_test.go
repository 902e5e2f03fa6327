package app_test

import (
	"context"
	"flag"
	"fmt"
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
	"bentside/domain/plan"
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
	jobs := s.joinMany(120, "DS-01", "KY-01", "AC-01", "RG-01", "TU-01", "QC-01")
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

var measured = flag.Bool("measured", false, "measure two plans at once; takes a minute")

// TestTwoPlansMeasured measures two plans of 120 jobs with 27 tasks each, asked for at once with
// the time that a request has, and the booking of hours meanwhile:
//
//	go test ./api/app -run TestTwoPlansMeasured -measured -v
func TestTwoPlansMeasured(t *testing.T) {
	if !*measured {
		t.Skip("only with -measured")
	}
	a, db := opened(t, 10, time.Now)
	s := shop{T: t, app: a, db: db, who: founded(t, a)}
	for i := range 6 {
		_, err := a.AddPerson(t.Context(), s.who, domain.Person{
			Name: fmt.Sprint("Person ", i), Skills: catalogue.Skills, ProductiveShare: dec("0.75"),
		})
		s.ok(err)
	}
	jobs := s.joinMany(120, "DS-01", "DS-02", "DS-03", "BD-06", "BD-08", "BD-13", "FR-03", "FR-06",
		"ST-01", "ST-02", "ST-03", "AC-01", "AC-02", "AC-03", "AC-05", "KY-01", "KY-02", "KY-03",
		"DA-01", "CS-01", "CS-02", "RG-01", "RG-02", "VO-01", "TU-01", "TU-02", "QC-01")
	book := func(from, to int) (took []time.Duration) {
		for _, j := range jobs[from:to] {
			start := time.Now()
			s.book(j)
			took = append(took, time.Since(start))
			time.Sleep(50 * time.Millisecond)
		}
		slices.Sort(took)
		return took
	}
	alone := book(0, 40)
	var both sync.WaitGroup
	start := time.Now()
	for range 2 {
		both.Go(func() {
			ctx, cancel := context.WithTimeout(t.Context(), 15*time.Second)
			defer cancel()
			p, err := a.MakePlan(ctx, s.who, app.PlanRequest{
				Schedules: plan.MaxSchedules, Limit: 10 * time.Second,
			})
			t.Logf("a plan of %d tasks and %d schedules after %v: %v", len(p.Result.Tasks),
				p.Result.Schedules, time.Since(start), err)
		})
	}
	time.Sleep(time.Second)
	beside := book(40, 120)
	both.Wait()
	t.Logf("hours booked alone: median %v, worst %v; beside the plans: median %v, worst %v",
		alone[20], alone[39], beside[40], beside[79])
}

// joinMany takes over so many pianos at once, which is quicker than to accept one after the other.
func (s shop) joinMany(n int, tasks ...catalogue.Code) (jobs []job.Job) {
	s.Helper()
	today := domain.DateOf(morning)
	one := joining(today).Pianos[1]
	one.Tasks = nil
	for _, code := range tasks {
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
