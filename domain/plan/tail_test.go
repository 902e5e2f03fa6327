package plan_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/domain/plan"

	"github.com/shopspring/decimal"
)

// booked returns a job with a word on a task, given at an instant of the job's zone.
func booked(
	t *testing.T, j job.Job, code catalogue.Code, done, left string, finished bool, at time.Time,
) job.Job {
	t.Helper()
	minutes, _ := domain.MinutesOf(domaintest.Dec(done)) // a part of a minute tells nothing here
	p := job.Progress{
		Operation: code, Minutes: minutes, Left: domaintest.Dec(left), Finished: finished,
		Note: "as the list says", Reason: "as the list says",
		On: domain.DateOf(at), RecordedAt: at,
	}
	j, _, err := j.Book(domaintest.Shipped(t), p, domain.DateOf(at))
	if err != nil {
		t.Fatal(err)
	}
	return j
}

// upTo returns a job in which all that goes before an operation was finished at an instant.
func upTo(
	t *testing.T, c *catalogue.Catalogue, j job.Job, code catalogue.Code, at time.Time,
) job.Job {
	t.Helper()
	for open := j.Ahead(c, code); len(open) > 0; open = j.Ahead(c, code) {
		j = booked(t, j, open[0].Operation, "1", "0", true, at)
	}
	return j
}

// worn returns a job on a grand of which everything must be dealt with.
func worn(t *testing.T) (*catalogue.Catalogue, job.Job, plan.Shop, time.Time) {
	t.Helper()
	c, _, where, at := underWay(t)
	return c, restoration(t, c, "1"), where, at
}

// begins returns the first step of an operation; nil where it has none.
func begins(line plan.Timeline, code catalogue.Code) *plan.Step {
	i := slices.IndexFunc(line.Steps, func(s plan.Step) bool { return s.Operation == code })
	if i < 0 {
		return nil
	}
	return &line.Steps[i]
}

// settled returns a job whose piano was hauled in and booked in on its first day, and the operation
// of the job that waits for the piano to settle.
func settled(t *testing.T) (
	c *catalogue.Catalogue, j job.Job, where plan.Shop, at time.Time, next catalogue.Code,
) {
	t.Helper()
	c, j, where, at = worn(t)
	for _, code := range []catalogue.Code{"IN-02", "IN-03"} {
		j = booked(t, j, code, "4", "0", true, at.Add(4*time.Hour))
	}
	for _, task := range j.Tasks {
		for _, l := range c.LinksInto(task.Operation) {
			if l.From == "IN-03" && l.Hard && l.Type == catalogue.FinishStart &&
				l.LagHours == nil && task.Open() {
				return c, j, where, at, task.Operation
			}
		}
	}
	t.Fatal("nothing waits for the piano to settle")
	return c, j, where, at, ""
}

func TestWhatSettlesGoesOnSettlingAfterItsWorkIsBooked(t *testing.T) {
	t.Parallel()
	c, j, where, at, next := settled(t)
	const settles = 168 * time.Hour
	if tail := c.Operation("IN-03").Tail.Likely; !tail.Equal(domaintest.Dec("168")) {
		t.Fatalf("a piano settles %s h", tail)
	}
	free := at.Add(4 * time.Hour).Add(settles)
	for _, days := range []int{0, 1, 3} {
		line := forecast(t, c, where, at.Add(6*time.Hour).AddDate(0, 0, days), j)[0]
		s := begins(line, next)
		if s == nil || s.Start.Before(free) || s.Start.After(free.AddDate(0, 0, 3)) {
			t.Errorf("%d days on, %s starts at %+v; the piano has settled on %v", days, next, s, free)
		}
		if says := line.Path[0].Why; !strings.Contains(says, "done on 2026-03-02") {
			t.Errorf(
				"%d days on, the path begins with %q, want it to say what is waited for", days,
				says,
			)
		}
	}
}

// It settles all the same where nothing else of the job is over.
func TestAPianoThatWasOnlyBookedInSettles(t *testing.T) {
	t.Parallel()
	c, j, where, at, next := settled(t)
	j.Tasks = slices.DeleteFunc(slices.Clone(j.Tasks), func(x job.Task) bool {
		return x.Operation == "IN-02"
	})
	line := forecast(t, c, where, at.Add(6*time.Hour), j)[0]
	s := begins(line, next)
	if free := at.Add(4*time.Hour + 168*time.Hour); s == nil || s.Start.Before(free) {
		t.Errorf("%s starts at %+v; the piano has settled on %v", next, s, free)
	}
	if says := line.Path[0].Why; !strings.Contains(says, "done on 2026-03-02") {
		t.Errorf("the path begins with %q, want it to say what is waited for", says)
	}
}

func TestThePlaceIsTakenWhileAPianoSettlesInIt(t *testing.T) {
	t.Parallel()
	c, j, where, at, _ := settled(t)
	_, other, _, _ := worn(t)
	second := begins(forecast(t, c, where, at.Add(6*time.Hour), j, other)[1], "IN-03")
	if free := at.Add(4 * time.Hour).Add(168 * time.Hour); second == nil ||
		second.Start.Before(free) {
		t.Errorf(
			"the second piano is booked in at %+v, while the first settles in the only bay until %v",
			second, free,
		)
	}
}

func TestAJobEnteredHalfDoneWaitsForNothingThatIsOver(t *testing.T) {
	t.Parallel()
	c, j, where, at, next := settled(t)
	for i := range j.Tasks {
		j.Tasks[i].LastEntry = nil // nobody knows when it was
	}
	if s := begins(forecast(t, c, where, at.Add(6*time.Hour), j)[0], next); s == nil ||
		s.Start.After(at.AddDate(0, 0, 1)) {
		t.Errorf("%s starts at %+v, want it at once", next, s)
	}
}

func TestWorkWithNoHoursLeftDoesNotSettleAnewEachDay(t *testing.T) {
	t.Parallel()
	c, j, where, at, _ := settled(t)
	open := booked(t, j, "IN-03", "4", "0", false, at.Add(4*time.Hour))
	want := forecast(t, c, where, at.Add(6*time.Hour), j)[0].Ready
	for days := range 3 {
		if got := forecast(
			t, c, where, at.Add(6*time.Hour).AddDate(0, 0, days), open,
		)[0].Ready; !got.Equal(want) {
			t.Errorf("%d days on it is ready %v, want %v as if it were called finished", days, got, want)
		}
	}
}

func TestTheNextSittingKeepsItsDistanceFromTheLastOne(t *testing.T) {
	t.Parallel()
	c, all, where, at := worn(t)
	tried := 0
	for _, x := range all.Tasks {
		if x.Line.Sessions < 2 || c.Operation(x.Operation).Sessions == nil ||
			x.Line.Making == catalogue.Outside {
			continue
		}
		tried++
		code, l := x.Operation, x.Line
		gap := time.Duration(c.Operation(code).Sessions.GapHours.InexactFloat64() * float64(time.Hour))
		// as somebody would book it
		one := l.Hours.Likely.Div(decimal.NewFromInt(int64(l.Sessions))).Round(1)
		last := at.Add(2 * time.Hour)
		j := upTo(t, c, all, code, at.AddDate(0, -6, 0))
		whole := booked(t, j, code, one.String(), l.Hours.Likely.Sub(one).String(), false, last)
		if s := begins(forecast(t, c, where, at.Add(3*time.Hour), whole)[0], code); s == nil ||
			s.Start.Before(last.Add(gap)) {
			t.Errorf(
				"after a sitting at %v the next one of %s starts at %+v, want a distance of %v", last,
				code, s, gap,
			)
		}
		half := one.Div(domaintest.Dec("2")).Round(1)
		broken := booked(t, j, code, half.String(), l.Hours.Likely.Sub(half).String(), false, last)
		if s := begins(forecast(t, c, where, at.Add(3*time.Hour), broken)[0], code); s == nil ||
			!s.Start.Before(at.AddDate(0, 0, 1)) {
			t.Errorf("in the middle of a sitting %s goes on at %+v, want it at once", code, s)
		}
	}
	if tried < 2 {
		t.Errorf("%d operations in sittings were tried", tried)
	}
}

func TestPartsAreOrderedWhenTheWorkBeforeTheOrderIsOver(t *testing.T) {
	t.Parallel()
	c, j, where, at := worn(t)
	measured := at.AddDate(0, 0, 21).Add(3 * time.Hour)
	for _, task := range j.Tasks {
		op := c.Operation(task.Operation)
		if op.Lead == nil || task.Line.Making == catalogue.Outside ||
			j.Task(op.Lead.After) == nil || op.Lead.After == "IN-03" {
			continue
		}
		done := upTo(t, c, j, task.Operation, at) // so that it waits for nothing but its parts
		done.Tasks = slices.Clone(done.Tasks)
		*done.Task(op.Lead.After) = *j.Task(op.Lead.After)
		done = booked(t, done, op.Lead.After, "3", "0", true, measured)
		lead := time.Duration(op.Lead.Weeks.Likely.InexactFloat64() * 7 * 24 * float64(time.Hour))
		if s := begins(
			forecast(t, c, where, measured.Add(time.Hour), done)[0], task.Operation,
		); s == nil || s.Start.Before(measured.Add(lead)) {
			t.Errorf(
				"%s starts at %+v; its parts were ordered on %v and take %v", task.Operation, s,
				measured, lead,
			)
		}
		return
	}
	t.Fatal("no parts are ordered after work on the job")
}
