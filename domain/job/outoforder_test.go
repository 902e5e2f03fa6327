package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"
)

// waiting returns a job with tasks of ten hours. What is done to action and keys goes before their
// regulation (a hard link).
func waiting(codes ...catalogue.Code) job.Job {
	j := job.Job{State: job.Open, AcceptedOn: domaintest.JobDay, Settled: map[string]string{}}
	for _, code := range codes {
		j.Tasks = append(j.Tasks, job.Task{
			Operation: code, Planned: domaintest.Dec("10"), Left: domaintest.Dec("10"),
			Line: &scope.Line{Operation: code, Sessions: 1},
		})
	}
	return j
}

// Who works ahead of the order says why once. It is asked again when something else has come in
// that goes first.
func TestWorkOutOfOrderIsExplainedOnceForAllThatIsOpen(t *testing.T) {
	t.Parallel()
	c, today := domaintest.Shipped(t), domaintest.JobDay
	book := func(j job.Job, minutes int, left, reason string) (job.Job, job.Progress, error) {
		return j.Book(c, job.Progress{
			Operation: "RG-01", Minutes: minutes, Left: domaintest.Dec(left), On: today,
			Reason: reason, RecordedAt: domaintest.JobHour,
		}, today)
	}
	j := waiting("AC-01", "RG-01")
	_, _, err := book(j, 120, "8", "")
	if f := domaintest.FaultOf(err); f == nil || len(f.Fields) != 1 ||
		f.Fields[0].Pointer != "#/reason" || !strings.Contains(f.Fields[0].Detail, "AC-01 (") {
		t.Fatalf("got %v, want to be asked why, since AC-01 is open", err)
	}
	if _, p, err := book(j, 0, "12", ""); err != nil || len(p.Ahead) > 0 {
		t.Errorf("looked at again before any work: got %v, ahead %q", err, p.Ahead)
	}
	begun, entry, err := book(j, 120, "8", "the felts are late")
	if err != nil || !slices.Equal(entry.Ahead, []catalogue.Code{"AC-01"}) {
		t.Fatalf("with a reason: %v, ahead %q", err, entry.Ahead)
	}
	if o := begun.Task("RG-01").OutOfOrder; o == nil || o.Reason != "the felts are late" {
		t.Errorf("the task keeps %+v", o)
	}
	goesOn, _, err := book(begun, 180, "5", "")
	if err != nil {
		t.Errorf("going on with it: %v", err)
	}
	goesOn.Tasks = append(goesOn.Tasks, waiting("KY-02").Tasks...)
	if _, _, err := book(goesOn, 60, "4", ""); !slices.Equal(pointersOf(err), []string{"#/reason"}) {
		t.Errorf("with keys to bush as well: got %v, want to be asked again", err)
	}
	if _, _, err := book(goesOn, 0, "9", ""); err != nil {
		t.Errorf("another estimate and no more work: %v", err)
	}
	alone, _, err := book(waiting("RG-01"), 120, "8", "in a hurry")
	if err != nil || alone.Tasks[0].OutOfOrder != nil {
		t.Errorf("nothing goes before it: %v, and the task keeps %+v", err, alone.Tasks[0].OutOfOrder)
	}
}

// Once finished, a task isn't worked on by a correction of its entry.
func TestCorrectingAFinishedTaskIsNoWorkOutOfOrder(t *testing.T) {
	t.Parallel()
	j := waiting("AC-01", "AC-02")
	j.Tasks[1].Done, j.Tasks[1].Left = domaintest.Dec("9"), domaintest.Dec("0")
	finish := job.Progress{
		Operation: "AC-02", Finished: true, On: domaintest.JobDay,
		RecordedAt: domaintest.JobHour,
	}
	c := domaintest.Shipped(t)
	if _, _, err := j.Book(c, finish, domaintest.JobDay); !slices.Equal(
		pointersOf(err), []string{"#/reason"},
	) {
		t.Errorf("finished while AC-01 is open: got %v, want to be asked why", err)
	}
	j.Tasks[1].FinishedAt = &domaintest.JobHour
	if _, _, err := j.Book(c, finish, domaintest.JobDay); err != nil {
		t.Errorf("the same entry again: %v", err)
	}
}

func TestOldRecordsThatCannotBeInOrderAreAskedAbout(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	p := job.JoiningPiano{Instrument: domaintest.Grand(), Depth: catalogue.Recondition}
	for i, x := range [][3]string{
		{"DS-01", "0", "5"},
		{"AC-01", "8", "0"},
		{"KY-02", "0", "8"},
		{"RG-01", "3", "9"},
		{"BD-04", "2", "0"},
	} {
		p.Tasks = append(p.Tasks, job.JoiningTask{
			Line: i + 2, Operation: catalogue.Code(x[0]), Done: domaintest.Dec(x[1]),
			Left: domaintest.Dec(x[2]),
		})
	}
	got := p.Warnings(c, p.Job(c, job.Progress{RecordedAt: domaintest.JobHour}))
	for i, want := range []struct {
		task  int
		code  catalogue.Code
		ahead []catalogue.Code
		says  string
	}{
		{1, "AC-01", []catalogue.Code{"DS-01"}, "said to be done, but DS-01 ("},
		{3, "RG-01", []catalogue.Code{"DS-01", "KY-02"}, "said to be begun, but "},
	} {
		if i >= len(got) {
			t.Fatalf("%d warnings: %+v", len(got), got)
		}
		slices.Sort(got[i].Ahead)
		if x := got[i]; x.Task != want.task || x.Line != want.task+2 || x.Operation != want.code ||
			!slices.Equal(x.Ahead, want.ahead) || !strings.Contains(x.Text, want.says) {
			t.Errorf("got %+v, want %+v", x, want)
		}
	}
	for _, x := range got[2:] {
		if x.Operation != "BD-04" {
			t.Errorf("%s isn't begun or nothing goes before it: %+v", x.Operation, x)
		}
	}
	if len(p.Warnings(c, job.Job{})) > 0 {
		t.Error("tasks that the job doesn't have are warned of")
	}
}
