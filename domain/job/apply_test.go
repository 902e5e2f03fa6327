package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

// What was proposed for a job as it stood isn't forced on it once the work has gone on.
func TestAChangeIsRefusedOnceTheWorkHasOvertakenIt(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	line := func(code catalogue.Code) scope.Line { return scope.Line{Operation: code, Sessions: 1} }
	for _, x := range []struct {
		name   string
		change job.Change
		do     func(*job.Task) // to AC-01
		says   string          // empty: it still fits
	}{
		{"left out", job.Change{Removed: []scope.Line{line("AC-01")}}, nil, ""},
		{
			"left out after it was finished",
			job.Change{Removed: []scope.Line{line("AC-01")}},
			func(x *job.Task) { x.FinishedAt = &domaintest.JobHour }, "nothing is left to do on AC-01",
		},
		{
			"left out twice",
			job.Change{Removed: []scope.Line{line("AC-01")}},
			func(x *job.Task) { x.Dropped = true }, "nothing is left to do on AC-01",
		},
		{
			"left out where there is none",
			job.Change{Removed: []scope.Line{line("KY-02")}},
			nil,
			"nothing is left to do on KY-02",
		},
		{
			"changed after it was finished",
			job.Change{Changed: []job.LineChange{{Before: line("AC-01"), After: line("AC-01")}}},
			func(x *job.Task) { x.FinishedAt = &domaintest.JobHour }, "nothing is left to do on AC-01",
		},
		{
			"added while it is open",
			job.Change{Added: []scope.Line{line("AC-01")}},
			nil,
			"AC-01 is in the job by now",
		},
		{
			"added after it was finished",
			job.Change{Added: []scope.Line{line("AC-01")}},
			func(x *job.Task) { x.FinishedAt = &domaintest.JobHour }, "AC-01 is in the job by now",
		},
		{
			"added after it was left out",
			job.Change{Added: []scope.Line{line("AC-01")}},
			func(x *job.Task) { x.Dropped = true }, "",
		},
		{
			"added after it was finished, to be done again, and left out",
			job.Change{Added: []scope.Line{line("AC-01")}},
			func(x *job.Task) { x.FinishedAt, x.Dropped = &domaintest.JobHour, true }, "",
		},
	} {
		j := twoTasks()
		if x.do != nil {
			x.do(&j.Tasks[0])
		}
		_, err := j.Apply(c, x.change)
		if x.says == "" {
			if err != nil {
				t.Errorf("%s: got %v", x.name, err)
			}
			continue
		}
		if f := domaintest.FaultOf(err); f == nil || f.Kind != domain.Conflict ||
			!slices.Equal(f.Chain, []string{x.says}) {
			t.Errorf("%s: got %v, want a conflict over %q", x.name, err, x.says)
		}
	}
}

// Hours that were put in stay on the record when work that was left out comes back, and a
// suspension goes with the work that it was of.
func TestALeftOutTaskTakesItsSuspensionAlongAndKeepsItsHours(t *testing.T) {
	t.Parallel()
	c, j := domaintest.Shipped(t), twoTasks()
	j.Tasks[0].Done, j.Tasks[0].Left = domaintest.Dec("4"), domaintest.Dec("6")
	whole := job.Suspension{ID: uuid.UUID{1}, Why: "the client is away"}
	j.Suspensions = []job.Suspension{
		whole, {ID: uuid.UUID{2}, Operation: "AC-01"}, {ID: uuid.UUID{3}, Operation: "ST-01"},
	}
	without, err := j.Apply(c, job.Change{Removed: []scope.Line{{Operation: "AC-01"}}})
	if err != nil {
		t.Fatal(err)
	}
	var left []uuid.UUID
	for _, s := range without.Suspensions {
		left = append(left, s.ID)
	}
	if !slices.Equal(left, []uuid.UUID{{1}, {3}}) || len(j.Suspensions) != 3 {
		t.Errorf("suspensions %v are left, of %d", left, len(j.Suspensions))
	}
	hours := domaintest.Dec("12")
	back, err := without.Apply(c, job.Change{Added: []scope.Line{{
		Operation: "AC-01", Hours: catalogue.ThreePoint{Low: hours, Likely: hours, High: hours},
	}}})
	if err != nil {
		t.Fatal(err)
	}
	if x := back.Task("AC-01"); x.Dropped || !x.Done.Equal(domaintest.Dec("4")) ||
		!x.Left.Equal(hours) {
		t.Errorf("it comes back as %+v, want 4 h done and 12 to go", x)
	}
}

func TestAChangeThatTakesOneAndBringsOneIsAChange(t *testing.T) {
	t.Parallel()
	l := []scope.Line{{Operation: "AC-01"}}
	for _, ch := range []job.Change{
		{Added: l},
		{Removed: l},
		{Added: l, Removed: l},
		{Changed: make([]job.LineChange, 1)},
		{Added: l, Removed: l, Changed: make([]job.LineChange, 2)},
		{Added: l, Changed: make([]job.LineChange, 1)},
	} {
		if ch.Empty() {
			t.Errorf("nothing changes: %+v", ch)
		}
	}
	if !(job.Change{Kept: []catalogue.Code{"AC-01"}}).Empty() {
		t.Error("to keep what is done is a change")
	}
}

// Whoever knows better sets the figures of work in hand, of a surveyed piano as of one that joined.
func TestFiguresOfWorkInHandCanBeSet(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	sound := domaintest.SoundSurvey(c, catalogue.Grand)
	found := append(slices.Clone(sound), domaintest.Number("SV-39", "1.5", ""))
	surveyed := acceptedBy(t, c, found)
	_, joined := joinedJob(t, c, catalogue.Grand, catalogue.Recondition, "", "KY-02 RG-01")
	hours := domaintest.Dec("17")
	for name, j := range map[string]job.Job{"surveyed": surveyed, "joined": joined} {
		g := job.Grounds{}
		if name == "surveyed" {
			g.Before, g.After = found, found
		}
		for _, x := range []struct {
			edit scope.Edit
			kept func(scope.Line) bool
		}{
			{
				scope.Edit{Kind: scope.SetHours, Operation: "KY-02", Hours: &catalogue.ThreePoint{
					Low: hours, Likely: hours, High: hours,
				}},
				func(l scope.Line) bool { return l.Hours.Likely.Equal(hours) && l.Making == catalogue.InHouse },
			},
			{
				scope.Edit{
					Kind: scope.SetQuantity, Operation: "KY-02", Quantity: domaintest.Ptr(domaintest.Dec("40")),
				},
				func(l scope.Line) bool { return l.Quantity.Equal(domaintest.Dec("40")) },
			},
			{
				scope.Edit{Kind: scope.SetMaking, Operation: "KY-02", Making: catalogue.Outside},
				func(l scope.Line) bool { return l.Making == catalogue.Outside && l.Hours.Likely.IsZero() },
			},
		} {
			g.Edits = []scope.Edit{x.edit}
			ch, err := job.ChangeOf(c, domaintest.Grand(), j, nil, g, domaintest.Odds)
			if err != nil || len(ch.Changed) != 1 || len(ch.Added)+len(ch.Removed) > 0 {
				t.Errorf("%s, %s: changes %+v, %v", name, x.edit.Kind, ch, err)
				continue
			}
			now, err := j.Apply(c, ch)
			if err != nil || !x.kept(*now.Task("KY-02").Line) || !now.Task("KY-02").Line.Edited {
				t.Errorf("%s, %s: the line is %+v, %v", name, x.edit.Kind, now.Task("KY-02").Line, err)
			}
			again := g
			again.Edits = nil
			if ch, err := job.ChangeOf(
				c, domaintest.Grand(), now, nil, again, domaintest.Odds,
			); err != nil || !ch.Empty() {
				t.Errorf("%s, %s: it doesn't stay: %+v, %v", name, x.edit.Kind, ch, err)
			}
		}
		same := scope.Edit{Kind: scope.SetMaking, Operation: "KY-02", Making: catalogue.InHouse}
		g.Edits = []scope.Edit{same}
		if ch, err := job.ChangeOf(
			c, domaintest.Grand(), j, nil, g, domaintest.Odds,
		); err != nil || !ch.Empty() {
			t.Errorf("%s: done here as before: %+v, %v", name, ch, err)
		}
	}
}

// A job came by the work in some other way, so that a finding that calls for it has nothing to add.
func TestWorkThatTheJobHoldsIsNotAddedTwice(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	sound := domaintest.SoundSurvey(c, catalogue.Grand)
	rattle := domaintest.Number("SV-39", "1.5", "")
	rattle.ID = uuid.New()
	found := append(slices.Clone(sound), rattle)
	j := acceptedBy(t, c, found)
	if x := j.Task("KY-02"); x == nil || !x.Open() {
		t.Fatal("keys that rattle call for no work")
	}
	ch, err := job.ChangeOf(c, domaintest.Grand(), j, nil, job.Grounds{
		Before: sound, After: found, New: []uuid.UUID{rattle.ID},
	}, domaintest.Odds)
	if err != nil || !ch.Empty() {
		t.Errorf("got %+v, %v; want nothing changed", ch, err)
	}
}

func TestAChangeOfWhatIsNotKnownIsRefused(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	strange := []survey.Finding{domaintest.Number("SV-999", "1", "")}
	surveyed := acceptedBy(t, c, nil)
	_, joined := joinedJob(t, c, catalogue.Grand, catalogue.Recondition, "", "KY-02 RG-01")
	for name, j := range map[string]job.Job{"surveyed": surveyed, "joined": joined} {
		for what, g := range map[string]job.Grounds{
			"a point":        {After: strange},
			"an older point": {Before: strange},
			"a depth":        {Depth: "deeper"},
			"an operation":   {Edits: []scope.Edit{domaintest.Add("ZZ-99")}},
		} {
			if ch, err := job.ChangeOf(
				c, domaintest.Grand(), j, nil, g, domaintest.Odds,
			); err == nil || !ch.Empty() {
				t.Errorf("%s: %s that isn't known: got %+v, %v", name, what, ch, err)
			}
		}
	}
}

// Somebody answers for the plank that was mended elsewhere, so that no later finding brings it up
// again; what was merely left out is proposed anew.
func TestWhatSomebodyAnswersForStaysLeftOut(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	found := func(point, value string) survey.Finding {
		f := domaintest.Number(point, value, "")
		f.ID = uuid.New()
		return f
	}
	for by, comesBack := range map[string]bool{"": true, "Odile Garriga": false} {
		in, j := joinedJob(t, c, catalogue.Grand, catalogue.Recondition, "DS-01", "KY-02 RG-01 TU-03")
		out := scope.Edit{Kind: scope.RemoveOperation, Operation: "KY-02", By: by}
		if by != "" {
			out.Because, out.Why = scope.Elsewhere, "bushed at the client's last workshop"
		}
		ch, err := job.ChangeOf(
			c, in, j, nil, job.Grounds{Edits: []scope.Edit{out}}, domaintest.Odds,
		)
		if err != nil || len(ch.Removed) != 1 {
			t.Fatalf("left out: %+v, %v", ch, err)
		}
		now, err := j.Apply(c, ch)
		if err != nil {
			t.Fatal(err)
		}
		rattle := found("SV-39", "1.5")
		ch, err = job.ChangeOf(c, in, now, nil, job.Grounds{
			After: []survey.Finding{rattle}, New: []uuid.UUID{rattle.ID},
		}, domaintest.Odds)
		back := slices.ContainsFunc(ch.Added, func(l scope.Line) bool { return l.Operation == "KY-02" })
		if err != nil || back != comesBack {
			t.Errorf("left out on the word of %q: it comes back %t, %v", by, back, err)
		}
	}
}

// A refusal names what is the matter.
func TestASuspensionOfAClosedJobIsNotTakenUp(t *testing.T) {
	t.Parallel()
	j := twoTasks()
	j.State = job.Closed
	j.Suspensions = []job.Suspension{{ID: uuid.UUID{1}, Operation: "AC-01"}, {ID: uuid.UUID{2}}}
	for _, id := range []uuid.UUID{{1}, {2}, {3}} {
		now, err := j.Resume(id)
		if domaintest.KindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "closed") ||
			now.State != job.Closed || len(now.Suspensions) != 2 {
			t.Errorf("%v: got %v and %d suspensions", id, err, len(now.Suspensions))
		}
	}
}
