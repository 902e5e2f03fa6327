package job_test

import (
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
)

// Four tunings that took 6 h instead of 8 are four tunings the second time too, with 6 h to plan.
func TestATaskThatIsDoneAgainHasAllItsSittingsAndWaitsLikeNewWork(t *testing.T) {
	t.Parallel()
	at := domaintest.JobHour
	line := scope.Line{
		Operation: "TU-01", Sessions: 4,
		Hours: catalogue.ThreePoint{
			Low: domaintest.Dec("6"), Likely: domaintest.Dec("8"), High: domaintest.Dec("9"),
		},
	}
	j := job.Job{State: job.Open, Tasks: []job.Task{{
		Operation: "TU-01", Planned: domaintest.Dec("8"), Done: domaintest.Dec("6"),
		FinishedAt: &at, Line: &line, LastEntry: &job.Booking{On: domaintest.JobDay, At: at},
	}}}
	p := variation("10.00")
	p.Change.Undone = []job.LostWork{{Operation: "TU-01", Because: "BD-02"}}
	p.Decision = &job.Decision{
		Accepted: true, Reason: "new pins", Again: []catalogue.Code{"TU-01"}, DecidedAt: at,
	}
	again, err := j.Reopen(p)
	if err != nil {
		t.Fatal(err)
	}
	q := job.Remaining(again, instrument.Instrument{}, time.UTC)
	if l := q.Scope.Lines; len(l) != 1 || l[0].Sessions != 4 ||
		!l[0].Hours.Likely.Equal(domaintest.Dec("6")) {
		t.Fatalf("left: %+v, want four sittings of 6 h", l)
	}
	if len(q.Begun) > 0 || len(q.Ended) > 0 {
		t.Errorf("begun %v, ended %v; want it to wait for what goes before it", q.Begun, q.Ended)
	}
	c := domaintest.Shipped(t)
	half, _, err := again.Book(c, job.Progress{
		Operation: "TU-01", Minutes: 180, Left: domaintest.Dec("3"), On: domaintest.JobDay,
		RecordedAt: at.Add(time.Hour),
	}, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	if l := job.Remaining(half, instrument.Instrument{}, time.UTC).Scope.Lines; len(l) != 1 ||
		l[0].Sessions != 2 {
		t.Errorf("half of it done again: %+v, want two sittings left", l)
	}
	if j.Tasks[0].Again != nil {
		t.Error("the job before was changed")
	}
}

func TestWhatIsNotDoneByNowIsNotOpenedAgain(t *testing.T) {
	t.Parallel()
	p := variation("10.00")
	p.Change.Undone = []job.LostWork{{Operation: "TU-01", Because: "BD-02"}}
	p.Decision = &job.Decision{Accepted: true, Reason: "new pins", Again: []catalogue.Code{"TU-01"}}
	for _, tasks := range [][]job.Task{
		nil,
		{{Operation: "TU-01", Left: domaintest.Dec("8")}},
		{{Operation: "TU-01", Done: domaintest.Dec("2"), Dropped: true}},
	} {
		if _, err := (job.Job{Tasks: tasks}).Reopen(p); domaintest.KindOf(err) != domain.Conflict {
			t.Errorf("%+v: got %v, want a conflict", tasks, err)
		}
	}
}
