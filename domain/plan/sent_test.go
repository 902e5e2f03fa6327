package plan_test

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"
)

const rebushed = catalogue.Code("KY-02")

// keysOut returns work on a grand whose keys a firm rebushes, accepted on the tests' day.
func keysOut(t *testing.T) (*catalogue.Catalogue, job.Job, plan.Shop, time.Time) {
	t.Helper()
	where := shop(t)
	d := domaintest.Inputs(t, catalogue.Recondition,
		scope.Edit{Kind: scope.SetMaking, Operation: rebushed, Making: catalogue.Outside})
	drawn, err := d.DrawAdding()
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Accept(d.Catalogue, drawn, d.Instrument, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	if task := j.Task(rebushed); task == nil || task.Line.Making != catalogue.Outside {
		t.Fatal("no firm rebushes the keys")
	}
	return d.Catalogue, j, where, time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
}

// datedWith returns the dates of a job with what was sent out for it, on a day.
func datedWith(
	t *testing.T, c *catalogue.Catalogue, j job.Job, where plan.Shop, at time.Time,
	sent ...job.Sending,
) plan.Timeline {
	t.Helper()
	j.Sendings = sent
	q := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	q.Sent = job.SentOut(j, domain.DateOf(at), where.Zone)
	return plan.EarliestDates(t, c, q, where, at)
}

// The keyboard left on 23 February and is due on 1 June. Its task ends the day after, whatever the
// usual turn-round, and what waits for it names firm and day.
func TestWorkThatIsOutEndsWhenItIsDueBack(t *testing.T) {
	t.Parallel()
	c, j, where, at := keysOut(t)
	sent := job.Sending{
		Operations: []catalogue.Code{rebushed}, FirmName: "Fernhill Keys", What: "keyboard",
		SentOn: date("2026-02-23"), FirstDue: date("2026-06-01"), Due: date("2026-06-01"),
	}
	for name, tt := range map[string]struct {
		due, counted, says string
	}{
		"due":              {"2026-06-01", "2026-06-01", "due 2026-06-01"},
		"late":             {"2026-08-03", "2026-08-03", "now 2026-08-03, 9 weeks late"},
		"early":            {"2026-03-20", "2026-03-20", "now 2026-03-20"},
		"overdue tomorrow": {"2026-02-28", "2026-03-03", "2 days overdue; counted on for 2026-03-03"},
	} {
		s := sent
		s.Due = date(tt.due)
		tl := datedWith(t, c, j, where, at, s)
		step := stepOf(t, tl, rebushed)
		want := date(tt.counted).AddDays(1)
		if got := domain.DateOf(step.Finish); got.Compare(want) < 0 || want.DaysUntil(got) > 3 {
			t.Errorf("%s: it is back on %s, want %s or the next day of work", name, got, want)
		}
		q := j
		q.Sendings = []job.Sending{s}
		for _, x := range job.SentOut(q, domain.DateOf(at), where.Zone) {
			if !strings.Contains(x.Why, "keyboard at Fernhill Keys since 2026-02-23") ||
				!strings.Contains(x.Why, tt.says) {
				t.Errorf("%s: told as %q, want %q in it", name, x.Why, tt.says)
			}
		}
	}
}

// Far enough away, the keyboard is what the ready date rests on, and the chain of reasons says so.
func TestWhatWaitsForAKeyboardNamesTheFirm(t *testing.T) {
	t.Parallel()
	c, j, where, at := keysOut(t)
	tl := datedWith(t, c, j, where, at, job.Sending{
		Operations: []catalogue.Code{rebushed}, FirmName: "Fernhill Keys", What: "keyboard",
		SentOn: date("2026-02-23"), FirstDue: date("2027-06-01"), Due: date("2027-06-01"),
	})
	why := ""
	for _, s := range tl.Path {
		if s.Operation == rebushed {
			why = s.Why
		}
	}
	if !strings.HasPrefix(why, "out: keyboard at Fernhill Keys since 2026-02-23, due 2027-06-01") {
		t.Errorf("the ready date rests on %+v, want the firm named", tl.Path)
	}
}

// Nothing else is done on a keyboard that is away.
func TestNobodyWorksOnAKeyboardThatIsOut(t *testing.T) {
	t.Parallel()
	c, j, where, at := keysOut(t)
	due := date("2026-09-01")
	j.Sendings = []job.Sending{{
		Operations: []catalogue.Code{rebushed}, FirmName: "Fernhill Keys", What: "keyboard",
		SentOn: date("2026-02-23"), FirstDue: due, Due: due,
	}}
	q := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	q.Sent = job.SentOut(j, domain.DateOf(at), where.Zone)
	list, err := plan.Forecast(t.Context(), []plan.JobWork{{Catalogue: c, Left: q}}, where, at)
	if err != nil {
		t.Fatal(err)
	}
	looked := 0
	for _, s := range list[0].Steps {
		if op := c.Operation(s.Operation); op.Subassembly == "keyboard" && s.Operation != rebushed {
			looked++
			if s.Start.Before(due.AddDays(1).In(where.Zone)) {
				t.Errorf("%s is dated %s, while the keyboard is out until %s", s.Operation, s.Start, due)
			}
		}
	}
	if looked == 0 {
		t.Fatal("no other work on the keyboard")
	}
}

// Once it is back its task is over on that day, though nobody has finished it yet; what came back
// undone is dated as if it had never left.
func TestOnceItIsBackTheTaskIsOverUnlessItIsUndone(t *testing.T) {
	t.Parallel()
	c, j, where, at := keysOut(t)
	sent := job.Sending{
		Operations: []catalogue.Code{rebushed}, FirmName: "Fernhill Keys", What: "keyboard",
		SentOn: date("2026-02-23"), FirstDue: date("2026-06-01"), Due: date("2026-06-01"),
	}
	never := datedWith(t, c, j, where, at)
	sent.End = &job.SendingEnd{
		Outcome: job.SendingUndone, On: date("2026-02-27"), RecordedAt: at.AddDate(0, 0, -2),
	}
	if undone := datedWith(t, c, j, where, at, sent); !undone.Ready.Equal(never.Ready) {
		t.Errorf("undone, ready moved from %s to %s", never.Ready, undone.Ready)
	}
	done := *sent.End
	done.Outcome = job.SendingDone
	sent.End = &done
	for _, s := range datedWith(t, c, j, where, at, sent).Steps {
		if s.Operation == rebushed {
			t.Errorf("it is back and done, and yet dated: %+v", s)
		}
	}
}

// What came back done and was sent again is out: the dates rest on the new day, and once that comes
// back undone the task is to be done as ever.
func TestWhatIsSentAgainIsNotOver(t *testing.T) {
	t.Parallel()
	c, j, where, at := keysOut(t)
	first := job.Sending{
		Operations: []catalogue.Code{rebushed}, FirmName: "Fernhill Keys", What: "keyboard",
		SentOn: date("2026-02-20"), FirstDue: date("2026-02-25"), Due: date("2026-02-25"),
		End: &job.SendingEnd{
			Outcome: job.SendingDone, On: date("2026-02-24"), RecordedAt: at.AddDate(0, 0, -3),
		},
	}
	again := first
	again.SentOn, again.End = date("2026-02-26"), nil
	again.Due, again.FirstDue = date("2026-06-01"), date("2026-06-01")
	if got, want := datedWith(t, c, j, where, at, first, again).Ready,
		datedWith(t, c, j, where, at, again).Ready; !got.Equal(want) {
		t.Errorf("sent again, ready on %s, want %s", got, want)
	}
	again.End = &job.SendingEnd{
		Outcome: job.SendingUndone, On: date("2026-02-27"), RecordedAt: at.AddDate(0, 0, -1),
	}
	if got, want := datedWith(t, c, j, where, at, first, again).Ready,
		datedWith(t, c, j, where, at).Ready; !got.Equal(want) {
		t.Errorf("back undone, ready on %s, want %s", got, want)
	}
}

func date(s string) domain.Date {
	d, err := domain.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}
