package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
)

func TestAPromiseIsKeptByItsDateAndLateAfterIt(t *testing.T) {
	t.Parallel()
	p := job.Promise{
		For: "ready to be played", PromisedOn: domaintest.JobDay,
		Due: domaintest.JobDay.AddDays(30),
	}
	if err := p.Check(domaintest.JobDay); err != nil {
		t.Fatal(err)
	}
	for days, want := range map[int]job.PromiseState{
		0: job.PromiseOpen, 30: job.PromiseOpen, 31: job.PromiseBroken,
	} {
		if got := p.State(domaintest.JobDay.AddDays(days)); got != want {
			t.Errorf("after %d days without an outcome it is %s, want %s", days, got, want)
		}
	}
	later := domaintest.JobDay.AddDays(60)
	for days, want := range map[int]job.PromiseState{
		29: job.PromiseKept, 30: job.PromiseKept, 31: job.PromiseLate,
	} {
		met, err := p.End(job.PromiseOutcome{On: domaintest.JobDay.AddDays(days)}, later)
		if err != nil || met.State(later) != want {
			t.Errorf("met after %d days it is %s, %v; want %s", days, met.State(later), err, want)
		}
		if _, err := met.End(
			job.PromiseOutcome{On: domaintest.JobDay.AddDays(days)}, later,
		); domaintest.KindOf(err) != domain.Conflict {
			t.Errorf("ended twice: got %v", err)
		}
	}
	if _, err := p.End(
		job.PromiseOutcome{Withdrawn: true, On: later}, later,
	); !slices.Equal(pointersOf(err), []string{"#/why"}) {
		t.Errorf("withdrawn without a word: got %v", err)
	}
	for _, bad := range []job.Promise{
		{PromisedOn: domaintest.JobDay, Due: domaintest.JobDay},
		{For: "x", PromisedOn: domaintest.JobDay.AddDays(1), Due: domaintest.JobDay.AddDays(2)},
		{For: "x", PromisedOn: domaintest.JobDay, Due: domaintest.JobDay.AddDays(-1)},
		{For: "x", PromisedOn: domaintest.JobDay},
	} {
		if err := bad.Check(domaintest.JobDay); domaintest.KindOf(err) != domain.Invalid {
			t.Errorf("%+v: got %v, want it refused", bad, err)
		}
	}
}

func TestAPromiseIsWarnedOfWhereTheWorkIsReadyLater(t *testing.T) {
	t.Parallel()
	p := job.Promise{Due: domaintest.JobDay}
	later := domaintest.JobDay.AddDays(3)
	if got := p.Warning(later); !strings.Contains(got, later.String()) ||
		!strings.Contains(got, "3 days") {
		t.Errorf("ready three days later: %q", got)
	}
	for _, days := range []int{0, -1} {
		if got := p.Warning(domaintest.JobDay.AddDays(days)); got != "" {
			t.Errorf("ready %d days later: %q, want no warning", days, got)
		}
	}
}
