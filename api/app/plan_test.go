package app_test

import (
	"testing"
	"time"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/job"
)

// A job is late from the earliest day that was promised and still stands; it ties up what it was
// expected to cost.
func TestAPlanWeighsWhatWaitingCosts(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	today := domain.DateOf(morning)
	j := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, ownPiano()))
	idle := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, ownPiano()))
	if _, err := s.app.LatestPlan(ctx, s.who); faultKind(err) != domain.NotFound {
		t.Errorf("before any plan: got %v, want not found", err)
	}
	for days, met := range map[int]bool{20: true, 50: false, 40: false, 90: false} {
		p, _, err := s.app.Promise(ctx, s.who, job.Promise{
			Job: j.ID, For: "ready", Due: today.AddDays(days),
		})
		s.ok(err)
		if met {
			_, err := s.app.EndPromise(ctx, s.who, j.ID, p.ID, job.PromiseOutcome{On: today})
			s.ok(err)
		}
	}
	made, err := s.app.MakePlan(ctx, s.who, app.PlanRequest{Schedules: 1, Limit: time.Minute})
	s.ok(err)
	in := planInputs(t, s.app, s.who, made)
	if len(in.Jobs) != 2 || in.Jobs[0].Job != j.ID || in.Jobs[1].Job != idle.ID {
		t.Fatalf("got %d jobs, want both in the order of the queue", len(in.Jobs))
	}
	if got, want := in.Jobs[0].Due, today.AddDays(40); got != want {
		t.Errorf("the job is due on %s, want %s, the earliest open promise", got, want)
	}
	if !in.Jobs[1].Due.IsZero() {
		t.Errorf("a job without a promise is due on %s", in.Jobs[1].Due)
	}
	b, err := s.app.Baseline(ctx, s.who, j.ID)
	s.ok(err)
	if got, want := in.Jobs[0].TiedUp, b.Expected.Total.Likely.Decimal(); !got.Equal(want) {
		t.Errorf("the job ties up %s, want %s", got, want)
	}
	stored, err := s.app.LatestPlan(ctx, s.who)
	s.ok(err)
	if stored.ID != made.ID || len(stored.Result.Tasks) != len(made.Result.Tasks) {
		t.Errorf("got plan %v, want %v as it was made", stored.ID, made.ID)
	}

	_, err = s.app.CloseJob(ctx, s.who, idle.ID, app.Closing{
		Outcome: job.Abandoned, On: today, Why: "sold as it stands",
	})
	s.ok(err)
	made, err = s.app.MakePlan(ctx, s.who, app.PlanRequest{Schedules: 1, Limit: time.Minute})
	s.ok(err)
	if in := planInputs(t, s.app, s.who, made); len(in.Jobs) != 1 {
		t.Errorf("%d jobs are planned after one was closed, want 1", len(in.Jobs))
	}
}
