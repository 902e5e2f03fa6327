package domain_test

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// A day in the workshop, and an hour of it.
var (
	jobDay  = domain.Date{Year: 2026, Month: time.March, Day: 2}
	jobHour = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
)

// faultOf is the Fault in an error, nil where there is none.
func faultOf(err error) *domain.Fault {
	var f *domain.Fault
	errors.As(err, &f)
	return f
}

// kindOf is the kind of the Fault in an error, empty where there is none.
func kindOf(err error) domain.FaultKind {
	if f := faultOf(err); f != nil {
		return f.Kind
	}
	return ""
}

// pointersOf are the fields that are wrong.
func pointersOf(err error) []string {
	var list []string
	if f := faultOf(err); f != nil {
		for _, x := range f.Fields {
			list = append(list, x.Pointer)
		}
	}
	return list
}

// twoTasks is an open job with two tasks of ten hours.
func twoTasks() domain.Job {
	task := func(code catalogue.Code) domain.Task {
		return domain.Task{Operation: code, Planned: dec("10"), Left: dec("10"), Line: &domain.Line{Operation: code, Sessions: 1}}
	}
	return domain.Job{State: domain.JobOpen, AcceptedOn: jobDay, Settled: map[string]string{}, Tasks: []domain.Task{task("AC-01"), task("ST-01")}}
}

func TestAClosedJobRefusesEveryMove(t *testing.T) {
	t.Parallel()
	for _, m := range []domain.JobMove{domain.BookWork, domain.ChangeJob, domain.HoldJob, domain.ReleaseJob, domain.CloseJob} {
		if _, err := domain.JobClosed.After(m); kindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "closed") {
			t.Errorf("%s: got %v, want a conflict that says that the job is closed", m, err)
		}
	}
	held, err := domain.JobOpen.After(domain.HoldJob)
	if held != domain.JobHeld || err != nil {
		t.Errorf("on hold: got %q, %v", held, err)
	}
	if _, err := held.After(domain.HoldJob); kindOf(err) != domain.Conflict {
		t.Errorf("on hold twice: got %v, want a conflict", err)
	}
	if open, err := held.After(domain.ReleaseJob); open != domain.JobOpen || err != nil {
		t.Errorf("taken up again: got %q, %v", open, err)
	}
}

func TestTheLastWordOnATaskHolds(t *testing.T) {
	t.Parallel()
	j := twoTasks()
	now, err := j.Book(domain.Progress{Operation: "AC-01", Done: dec("4"), Left: dec("9"), On: jobDay}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	if got := now.Tasks[0]; got.Done.String() != "4" || got.Left.String() != "9" || got.FinishedAt != nil || got.Planned.String() != "10" {
		t.Errorf("got %+v, want 4 h done and 9 left of 10 that were planned", got)
	}
	if !j.Tasks[0].Done.IsZero() {
		t.Error("booking changed the job that it was given")
	}
	done, err := now.Book(domain.Progress{Operation: "AC-01", Done: dec("12.5"), Finished: true, On: jobDay, RecordedAt: jobHour}, jobDay)
	if err != nil || done.Tasks[0].Open() {
		t.Errorf("got %+v, %v; want it finished", done.Tasks[0], err)
	}
}

func TestHoursThatCannotBeAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	finished := jobHour
	j := twoTasks()
	j.Tasks[1].Done, j.Tasks[1].Left, j.Tasks[1].FinishedAt = dec("8"), dec("0"), &finished
	for _, c := range []struct {
		name string
		p    domain.Progress
		want []string
	}{
		{"negative hours", domain.Progress{Operation: "AC-01", Done: dec("-1"), Left: dec("-2"), On: jobDay}, []string{"#/done", "#/left"}},
		{"finished with hours left", domain.Progress{Operation: "AC-01", Left: dec("1"), Finished: true, On: jobDay}, []string{"#/left"}},
		{"tomorrow's work", domain.Progress{Operation: "AC-01", On: jobDay.AddDays(1)}, []string{"#/worked_on"}},
		{"no day", domain.Progress{Operation: "AC-01"}, []string{"#/worked_on"}},
		{"seconds of work", domain.Progress{Operation: "AC-01", Done: dec("0.00001"), On: jobDay}, []string{"#/done"}},
		{"fewer hours and no word why", domain.Progress{Operation: "ST-01", Done: dec("7"), Finished: true, On: jobDay}, []string{"#/note"}},
		{"taken up again and no word why", domain.Progress{Operation: "ST-01", Done: dec("8"), Left: dec("1"), On: jobDay}, []string{"#/note"}},
	} {
		if _, err := j.Book(c.p, jobDay); !slices.Equal(pointersOf(err), c.want) {
			t.Errorf("%s: got %v, want faults at %v", c.name, err, c.want)
		}
	}
	corrected := domain.Progress{Operation: "ST-01", Done: dec("7"), Left: dec("1"), On: jobDay, Note: "booked on the wrong piano"}
	if now, err := j.Book(corrected, jobDay); err != nil || !now.Tasks[1].Open() {
		t.Errorf("a correction that says why: got %v", err)
	}
	if _, err := j.Book(domain.Progress{Operation: "ZZ-01", On: jobDay}, jobDay); kindOf(err) != domain.NotFound {
		t.Errorf("an operation that the job has not: got %v", err)
	}
}

func TestAJobIsFinishedOnlyWhenAllItsTasksAre(t *testing.T) {
	t.Parallel()
	j := twoTasks()
	_, err := j.Close(domain.JobFinished, jobDay, jobDay, "")
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Conflict || len(f.Chain) != 2 {
		t.Errorf("got %v, want a conflict that names both tasks", err)
	}
	if _, err := j.Close(domain.JobAbandoned, jobDay, jobDay, ""); !slices.Equal(pointersOf(err), []string{"#/why"}) {
		t.Errorf("abandoned without a word: got %v", err)
	}
	closed, err := j.Close(domain.JobPartedOut, jobDay, jobDay, "the plate is cracked")
	if err != nil || closed.State != domain.JobClosed || closed.Outcome != domain.JobPartedOut || closed.ClosedOn != jobDay {
		t.Errorf("got %+v, %v", closed, err)
	}
}

func TestATaskRestsOnceAtATimeAndTheWholeJobToo(t *testing.T) {
	t.Parallel()
	rest := domain.Suspension{ID: uuid.UUID{1}, Operation: "AC-01", Why: "the felt is late", Until: jobDay.AddDays(7)}
	j, err := twoTasks().Suspend(rest, jobDay)
	if err != nil || j.State != domain.JobOpen {
		t.Fatalf("got %s, %v; want the job open while a task rests", j.State, err)
	}
	if _, err := j.Suspend(rest, jobDay); kindOf(err) != domain.Conflict {
		t.Errorf("twice: got %v, want a conflict", err)
	}
	held, err := j.Suspend(domain.Suspension{ID: uuid.UUID{2}, Why: "the client is asked", Until: jobDay.AddDays(14)}, jobDay)
	if err != nil || held.State != domain.JobHeld {
		t.Fatalf("got %s, %v; want the job on hold", held.State, err)
	}
	again, err := held.Resume(uuid.UUID{2})
	if err != nil || again.State != domain.JobOpen || len(again.Suspensions) != 1 {
		t.Errorf("got %s with %d suspensions, %v; want it open with the task's", again.State, len(again.Suspensions), err)
	}
	if _, err := again.Resume(uuid.UUID{2}); kindOf(err) != domain.NotFound {
		t.Errorf("resumed twice: got %v", err)
	}
	for _, bad := range []domain.Suspension{
		{Operation: "AC-01", Until: jobDay.AddDays(-1)},
		{Why: "x", Until: jobDay, KeepsStation: true},
		{Operation: "AC-01", Why: "x", Until: jobDay.AddDays(5000)},
	} {
		if _, err := twoTasks().Suspend(bad, jobDay); kindOf(err) != domain.Invalid {
			t.Errorf("%+v: got %v, want it refused", bad, err)
		}
	}
}
