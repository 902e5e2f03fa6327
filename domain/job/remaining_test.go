package job_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"

	"github.com/google/uuid"
)

// A plan takes up what is left: what was begun goes on, what is done rests and dries, what waits
// for its next sitting isn't under way, and what a firm does is nobody's of the crew.
func TestAPlanTakesUpWhatIsLeftOfAJob(t *testing.T) {
	t.Parallel()
	entry := &job.Booking{On: domaintest.JobDay, At: domaintest.JobHour}
	task := func(code catalogue.Code, done, left string, change func(*job.Task)) job.Task {
		x := job.Task{
			Operation: code, Planned: domaintest.Dec("8"), Done: domaintest.Dec(done),
			Left: domaintest.Dec(left), LastEntry: entry,
			Line: &scope.Line{
				Operation: code, Sessions: 1,
				Hours: catalogue.ThreePoint{
					Low: domaintest.Dec("8"), Likely: domaintest.Dec("8"), High: domaintest.Dec("8"),
				},
			},
		}
		change(&x)
		return x
	}
	as := func(*job.Task) {}
	inSittings := func(x *job.Task) { x.Line.Sessions = 4 }
	outside := func(x *job.Task) { x.Line.Making = catalogue.Outside }
	resting := uuid.UUID{5}
	j := job.Job{
		State: job.Open, AcceptedOn: domaintest.JobDay,
		Tasks: []job.Task{
			task("new", "0", "8", func(x *job.Task) { x.LastEntry = nil }),
			task("begun", "2", "7", as),
			task("booked out", "9", "0", as),
			task("finished", "9", "0", func(x *job.Task) { x.FinishedAt = &domaintest.JobHour }),
			task("dropped", "2", "7", func(x *job.Task) { x.Dropped = true }),
			task("between sittings", "2", "6", inSittings),
			task("in a sitting", "3", "5", inSittings),
			task("at a firm", "1", "7", outside),
			task("at rest", "2", "7", as),
			{Operation: "without a line", Left: domaintest.Dec("3")},
		},
		Suspensions: []job.Suspension{
			{ID: resting, Operation: "at rest", Until: domaintest.JobDay.AddDays(3), KeepsStation: true},
		},
	}
	q := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, time.UTC)
	var lines, ended []catalogue.Code
	for _, l := range q.Scope.Lines {
		lines = append(lines, l.Operation)
	}
	for _, x := range q.Ended {
		ended = append(ended, x.Operation)
	}
	for what, x := range map[string]struct{ got, want []catalogue.Code }{
		"to do": {lines, []catalogue.Code{
			"new", "begun", "between sittings", "in a sitting", "at a firm", "at rest",
		}},
		"begun": {q.Begun, []catalogue.Code{"begun", "in a sitting"}},
		"ended": {ended, []catalogue.Code{"booked out", "finished", "between sittings"}},
	} {
		if !slices.Equal(x.got, x.want) {
			t.Errorf("%s: got %q, want %q", what, x.got, x.want)
		}
	}
	if len(q.Suspended) != 1 || !q.Suspended[0].KeepsStation || !q.Held.IsZero() {
		t.Errorf("at rest: %+v, held %v", q.Suspended, q.Held)
	}
	if q.Name != "Aldermere" {
		t.Errorf("it is called %q", q.Name)
	}
	j.State = job.Held
	j.Suspensions = []job.Suspension{{Until: domaintest.JobDay.AddDays(9), Why: "the client thinks"}}
	q = job.Remaining(j, instrument.Instrument{Maker: "Aldermere", StockNumber: "K-7"}, time.UTC)
	if len(q.Begun) > 0 || q.HeldWhy != "the client thinks" || q.Held.IsZero() ||
		q.Name != "K-7 Aldermere" {
		t.Errorf("on hold: begun %q, held %v %q, called %q", q.Begun, q.Held, q.HeldWhy, q.Name)
	}
}

func TestAnInstrumentHasOneOpenJobAndAScopeBecomesAJobOnce(t *testing.T) {
	t.Parallel()
	mine, other := uuid.UUID{1}, uuid.UUID{2}
	for name, x := range map[string]struct {
		on   []job.Job
		says string // empty: nothing stands in the way
	}{
		"no job":           {nil, ""},
		"another, closed":  {[]job.Job{{Scope: other, State: job.Closed}}, ""},
		"another, open":    {[]job.Job{{Scope: other, State: job.Open}}, "another job is open"},
		"another, on hold": {[]job.Job{{Scope: other, State: job.Held}}, "another job is open"},
		"this one, closed": {[]job.Job{{Scope: mine, State: job.Closed}}, "a job already"},
		"this one, behind an open one": {
			[]job.Job{{Scope: other, State: job.Open}, {Scope: mine, State: job.Closed}},
			"a job already",
		},
	} {
		err := job.CheckNoneOpen(x.on, mine)
		if (err != nil) != (x.says != "") || err != nil && !strings.Contains(err.Error(), x.says) {
			t.Errorf("%s: %v, want %q", name, err, x.says)
		}
	}
}

func TestASuspensionIsFoundUntilItEnds(t *testing.T) {
	t.Parallel()
	first, second := uuid.UUID{1}, uuid.UUID{2}
	j := twoTasks()
	for id, code := range map[uuid.UUID]catalogue.Code{first: "AC-01", second: "ST-01"} {
		var err error
		j, err = j.Suspend(job.Suspension{
			ID: id, Operation: code, Why: "parts", Until: domaintest.JobDay.AddDays(9),
		}, domaintest.JobDay)
		if err != nil {
			t.Fatal(err)
		}
	}
	for id, code := range map[uuid.UUID]catalogue.Code{first: "AC-01", second: "ST-01"} {
		if s := j.Suspension(id); s == nil || s.Operation != code {
			t.Errorf("%s: %+v", code, s)
		}
		after, err := j.Resume(id)
		if err != nil || after.Suspension(id) != nil || len(after.Suspensions) != 1 {
			t.Errorf("%s taken up again: %+v, %v", code, after.Suspensions, err)
		}
	}
	if s := j.Suspension(uuid.UUID{3}); s != nil {
		t.Errorf("one that nobody made: %+v", s)
	}
	if _, err := j.Resume(uuid.UUID{3}); domaintest.KindOf(err) != domain.NotFound {
		t.Errorf("ending one that nobody made: %v", err)
	}
}

func TestAnEditedScopeIsQuotedAgain(t *testing.T) {
	t.Parallel()
	o := job.QuotedOption{Number: 2, Version: 7}
	if err := o.CheckUnedited(7); err != nil {
		t.Errorf("as it was quoted: %v", err)
	}
	for _, version := range []int64{6, 8} {
		if err := o.CheckUnedited(version); domaintest.KindOf(err) != domain.Conflict ||
			!strings.Contains(err.Error(), "option 2") {
			t.Errorf("at version %d: %v", version, err)
		}
	}
}
