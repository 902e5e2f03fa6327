package job_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// pointersOf returns the fields that are wrong.
func pointersOf(err error) []string {
	var list []string
	if f := domaintest.FaultOf(err); f != nil {
		for _, x := range f.Fields {
			list = append(list, x.Pointer)
		}
	}
	return list
}

// twoTasks returns an open job with two tasks of ten hours.
func twoTasks() job.Job {
	task := func(code catalogue.Code) job.Task {
		return job.Task{
			Operation: code, Planned: domaintest.Dec("10"), Left: domaintest.Dec("10"),
			Line: &scope.Line{Operation: code, Sessions: 1},
		}
	}
	return job.Job{
		State: job.Open, AcceptedOn: domaintest.JobDay, Settled: map[string]string{},
		Tasks: []job.Task{task("AC-01"), task("ST-01")},
	}
}

func TestAClosedJobRefusesEveryMove(t *testing.T) {
	t.Parallel()
	for _, m := range []job.Command{
		job.CommandBook, job.CommandChange, job.CommandHold, job.CommandRelease, job.CommandClose,
	} {
		if _, err := job.Closed.After(m); domaintest.KindOf(err) != domain.Conflict ||
			!strings.Contains(err.Error(), "closed") {
			t.Errorf("%s: got %v, want a conflict that says that the job is closed", m, err)
		}
	}
	held, err := job.Open.After(job.CommandHold)
	if held != job.Held || err != nil {
		t.Errorf("on hold: got %q, %v", held, err)
	}
	if _, err := held.After(job.CommandHold); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("on hold twice: got %v, want a conflict", err)
	}
	if open, err := held.After(job.CommandRelease); open != job.Open || err != nil {
		t.Errorf("taken up again: got %q, %v", open, err)
	}
}

func TestTheLastWordOnATaskHolds(t *testing.T) {
	t.Parallel()
	c, j := domaintest.Shipped(t), twoTasks()
	now, _, err := j.Book(
		c, job.Progress{
			Operation: "AC-01", Minutes: 240, Left: domaintest.Dec("9"),
			On: domaintest.JobDay,
		},
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	if got := now.Tasks[0]; got.Done.String() != "4" || got.Left.String() != "9" ||
		got.FinishedAt != nil || got.Planned.String() != "10" {
		t.Errorf("got %+v, want 4 h done and 9 left of 10 that were planned", got)
	}
	if !j.Tasks[0].Done.IsZero() {
		t.Error("booking changed the job that it was given")
	}
	done, _, err := now.Book(
		c, job.Progress{
			Operation: "AC-01", Minutes: 510, Finished: true, On: domaintest.JobDay,
			RecordedAt: domaintest.JobHour,
		},
		domaintest.JobDay,
	)
	if err != nil || done.Tasks[0].Open() || done.Tasks[0].Done.String() != "12.5" {
		t.Errorf("got %+v, %v; want it finished, after 12.5 h", done.Tasks[0], err)
	}
}

func TestHoursThatCannotBeAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	finished := domaintest.JobHour
	shipped, j := domaintest.Shipped(t), twoTasks()
	j.Tasks[1].Done, j.Tasks[1].Left, j.Tasks[1].FinishedAt = domaintest.Dec("8"), domaintest.Dec("0"),
		&finished
	for _, c := range []struct {
		name string
		p    job.Progress
		want []string
	}{
		{
			"negative hours",
			job.Progress{
				Operation: "AC-01", Minutes: -60, Left: domaintest.Dec("-2"),
				On: domaintest.JobDay,
			},
			[]string{"#/hours", "#/left"},
		},
		{
			"finished with hours left",
			job.Progress{
				Operation: "AC-01", Left: domaintest.Dec("1"), Finished: true,
				On: domaintest.JobDay,
			},
			[]string{"#/left"},
		},
		{
			"tomorrow's work",
			job.Progress{Operation: "AC-01", On: domaintest.JobDay.AddDays(1)},
			[]string{"#/worked_on"},
		},
		{"no day", job.Progress{Operation: "AC-01"}, []string{"#/worked_on"}},
		{
			"seconds of work",
			job.Progress{
				Operation: "AC-01", Left: domaintest.Dec("0.00001"), On: domaintest.JobDay,
			},
			[]string{"#/left"},
		},
		{
			"hours on a finished task and no word why",
			job.Progress{
				Operation: "ST-01", Minutes: 60, Finished: true, On: domaintest.JobDay,
			},
			[]string{"#/note"},
		},
		{
			"counted without what somebody else has booked",
			job.Progress{
				Operation: "AC-01", Minutes: 60, Counted: new(domaintest.Dec("2")), On: domaintest.JobDay,
			},
			[]string{"#/done"},
		},
		{
			"taken up again and no word why",
			job.Progress{
				Operation: "ST-01", Left: domaintest.Dec("1"), On: domaintest.JobDay,
			},
			[]string{"#/note"},
		},
	} {
		if _, _, err := j.Book(shipped, c.p, domaintest.JobDay); !slices.Equal(pointersOf(err), c.want) {
			t.Errorf("%s: got %v, want faults at %v", c.name, err, c.want)
		}
	}
	corrected := job.Progress{
		Operation: "ST-01", Left: domaintest.Dec("1"), Counted: new(domaintest.Dec("8")),
		On: domaintest.JobDay, Note: "it was another piano's",
	}
	now, _, err := j.Book(shipped, corrected, domaintest.JobDay)
	if err != nil || !now.Tasks[1].Open() {
		t.Errorf("a correction that says why: got %v", err)
	}
	if _, _, err := j.Book(
		shipped, job.Progress{Operation: "ZZ-01", On: domaintest.JobDay}, domaintest.JobDay,
	); domaintest.KindOf(err) != domain.NotFound {
		t.Errorf("an operation that the job has not: got %v", err)
	}
}

func TestAJobIsFinishedOnlyWhenAllItsTasksAre(t *testing.T) {
	t.Parallel()
	j := twoTasks()
	none := domain.Date{}
	_, err := j.Close(job.Finished, domaintest.JobDay, none, domaintest.JobDay, "")
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Conflict || len(f.Chain) != 2 {
		t.Errorf("got %v, want a conflict that names both tasks", err)
	}
	if _, err := j.Close(
		job.Abandoned, domaintest.JobDay, none, domaintest.JobDay, "",
	); !slices.Equal(pointersOf(err), []string{"#/why"}) {
		t.Errorf("abandoned without a word: got %v", err)
	}
	closed, err := j.Close(
		job.PartedOut, domaintest.JobDay, none, domaintest.JobDay, "the frame is cracked",
	)
	if err != nil || closed.State != job.Closed || closed.Outcome != job.PartedOut ||
		closed.ClosedOn != domaintest.JobDay {
		t.Errorf("got %+v, %v", closed, err)
	}
}

func TestATaskRestsOnceAtATimeAndTheWholeJobToo(t *testing.T) {
	t.Parallel()
	rest := job.Suspension{
		ID: uuid.UUID{1}, Operation: "AC-01", Why: "the felt is late",
		Until: domaintest.JobDay.AddDays(7),
	}
	j, err := twoTasks().Suspend(rest, domaintest.JobDay)
	if err != nil || j.State != job.Open {
		t.Fatalf("got %s, %v; want the job open while a task rests", j.State, err)
	}
	if _, err := j.Suspend(rest, domaintest.JobDay); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("twice: got %v, want a conflict", err)
	}
	held, err := j.Suspend(
		job.Suspension{
			ID: uuid.UUID{2}, Why: "the client is asked", Until: domaintest.JobDay.AddDays(14),
		},
		domaintest.JobDay,
	)
	if err != nil || held.State != job.Held {
		t.Fatalf("got %s, %v; want the job on hold", held.State, err)
	}
	again, err := held.Resume(uuid.UUID{2})
	if err != nil || again.State != job.Open || len(again.Suspensions) != 1 {
		t.Errorf(
			"got %s with %d suspensions, %v; want it open with the task's", again.State,
			len(again.Suspensions), err,
		)
	}
	if _, err := again.Resume(uuid.UUID{2}); domaintest.KindOf(err) != domain.NotFound {
		t.Errorf("resumed twice: got %v", err)
	}
	for _, bad := range []job.Suspension{
		{Operation: "AC-01", Until: domaintest.JobDay.AddDays(-1)},
		{Why: "x", Until: domaintest.JobDay, KeepsStation: true},
		{Operation: "AC-01", Why: "x", Until: domaintest.JobDay.AddDays(5000)},
	} {
		if _, err := twoTasks().Suspend(
			bad, domaintest.JobDay,
		); domaintest.KindOf(err) != domain.Invalid {
			t.Errorf("%+v: got %v, want it refused", bad, err)
		}
	}
}

func TestAJobClosesNoEarlierThanItBeganAndWasWorkedOn(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay.AddDays(20)
	j := twoTasks()
	j.AcceptedOn = domaintest.JobDay
	var worked domain.Date
	closed := func(day int) error {
		_, err := j.Close(
			job.Abandoned, domaintest.JobDay.AddDays(day), worked, today, "sold as it stands",
		)
		return err
	}
	if got := pointersOf(closed(-1)); !slices.Equal(got, []string{"#/closed_on"}) {
		t.Errorf("closed before its acceptance: faults at %q", got)
	}
	if err := closed(0); err != nil {
		t.Errorf("closed on the day of its acceptance: %v", err)
	}
	j.Tasks[1].LastEntry = &job.Booking{On: domaintest.JobDay.AddDays(7)}
	if got := pointersOf(closed(6)); !slices.Equal(got, []string{"#/closed_on"}) {
		t.Errorf("closed before its last booked day: faults at %q", got)
	}
	if err := closed(7); err != nil {
		t.Errorf("closed on its last booked day: %v", err)
	}
	worked = domaintest.JobDay.AddDays(9)
	if got := pointersOf(closed(8)); !slices.Equal(got, []string{"#/closed_on"}) {
		t.Errorf("closed before somebody's last hours on it: faults at %q", got)
	}
	if err := closed(9); err != nil {
		t.Errorf("closed on the day of the last hours: %v", err)
	}
}

func TestNoWorkIsAcceptedOnADayToCome(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay
	if err := job.CheckAcceptance(today, today); err != nil {
		t.Errorf("today: %v", err)
	}
	if got := pointersOf(job.CheckAcceptance(today.AddDays(1), today)); !slices.Equal(
		got, []string{"#/accepted_on"},
	) {
		t.Errorf("tomorrow: faults at %q", got)
	}
}
