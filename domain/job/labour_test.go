package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
)

// A job that came with 3.5 h counts them and what is booked since; what is left stays as it was
// said. Three times five minutes are a quarter of an hour, though no decimal says five minutes.
func TestTheHoursOfATaskAreWhatWasStatedAndItsEntries(t *testing.T) {
	t.Parallel()
	c, j := domaintest.Shipped(t), twoTasks()
	j.Tasks[0].Done = domaintest.Dec("3.5")
	for range 3 {
		var err error
		if j, _, err = j.PutIn(c, job.Labour{Operation: "AC-01", Minutes: 5}); err != nil {
			t.Fatal(err)
		}
	}
	x := j.Tasks[0]
	if !x.Done.Equal(domaintest.Dec("3.75")) || !x.Left.Equal(domaintest.Dec("10")) ||
		x.Minutes != 15 || !x.Stated().Equal(domaintest.Dec("3.5")) || !x.Begun() {
		t.Errorf("got %+v, want 3.75 h done and 10 left", x)
	}
	if back := j.TakeBack("AC-01", 15).Tasks[0]; !back.Done.Equal(domaintest.Dec("3.5")) {
		t.Errorf("all taken back: %v h done, want the 3.5 h that were stated", back.Done)
	}
	if !j.Tasks[0].Done.Equal(domaintest.Dec("3.75")) {
		t.Error("taking back changed the job that it was given")
	}
}

func TestNothingIsBookedOnWorkThatIsOver(t *testing.T) {
	t.Parallel()
	at := domaintest.JobHour
	c := domaintest.Shipped(t)
	for name, x := range map[string]struct {
		change  func(*job.Job)
		kind    domain.FaultKind
		pointer string
		says    string
	}{
		"finished": {
			func(j *job.Job) { j.Tasks[0].FinishedAt = &at }, domain.Conflict, "#/operation",
			"record progress",
		},
		"taken out": {
			func(j *job.Job) { j.Tasks[0].Dropped = true }, domain.Conflict, "#/operation", "propose",
		},
		"closed": {
			func(j *job.Job) { j.State = job.Closed }, domain.Conflict, "#/job", "another job",
		},
		"unknown": {
			func(j *job.Job) { j.Tasks = j.Tasks[1:] }, domain.Invalid, "#/operation", "no operation",
		},
	} {
		j := twoTasks()
		x.change(&j)
		_, _, err := j.PutIn(c, job.Labour{Operation: "AC-01", Minutes: 60})
		if domaintest.KindOf(err) != x.kind || !slices.Equal(pointersOf(err), []string{x.pointer}) ||
			!strings.Contains(err.Error(), x.says) {
			t.Errorf("%s: got %v", name, err)
		}
		if x.kind == domain.Conflict {
			if back := j.TakeBack("AC-01", 60); !back.Tasks[0].Done.Equal(domaintest.Dec("-1")) {
				t.Errorf("%s: an hour taken back leaves %v", name, back.Tasks[0].Done)
			}
		}
	}
	held := twoTasks()
	held.State = job.Held
	if _, _, err := held.PutIn(c, job.Labour{Operation: "AC-01", Minutes: 60}); err != nil {
		t.Errorf("for a day before it was held: %v", err)
	}
}

func TestHoursBeforeTheirTimeSayWhyOnce(t *testing.T) {
	t.Parallel()
	c, j := domaintest.Shipped(t), twoTasks()
	early := catalogue.Code("RG-01") // the keys are regulated with the action regulated
	j.Tasks[0].Operation, j.Tasks[0].Line.Operation = "AC-02", "AC-02"
	j.Tasks[1].Operation, j.Tasks[1].Line.Operation = early, early
	w := job.Labour{Operation: early, Minutes: 60}
	if _, _, err := j.PutIn(c, w); !slices.Equal(pointersOf(err), []string{"#/reason"}) {
		t.Fatalf("without a reason: %v", err)
	}
	w.Reason = "the bench was free"
	j, w, err := j.PutIn(c, w)
	if err != nil || len(w.Ahead) == 0 {
		t.Fatalf("with a reason: %+v, %v", w, err)
	}
	if _, _, err := j.PutIn(c, job.Labour{Operation: early, Minutes: 60}); err != nil {
		t.Errorf("the day after: %v", err)
	}
}
