package domain_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// underWay is a job of the shipped catalogue's work on a grand that is sold as
// it stands, accepted on a Monday morning.
func underWay(t *testing.T) (*catalogue.Catalogue, domain.Job, domain.Shop, time.Time) {
	t.Helper()
	c, s := asFound(t)
	j, err := domain.Accept(c, s, domain.Instrument{}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Tasks) < 3 {
		t.Fatalf("only %d tasks to look at", len(j.Tasks))
	}
	where := shop(t, domain.Station{Name: "intake bay", Count: 1}, domain.Station{Name: "quiet room", Count: 1})
	return c, j, where, time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
}

func forecast(t *testing.T, c *catalogue.Catalogue, where domain.Shop, at time.Time, jobs ...domain.Job) []domain.Timeline {
	t.Helper()
	var work []domain.JobWork
	for _, j := range jobs {
		work = append(work, domain.JobWork{Catalogue: c, Left: domain.LeftOf(j, domain.Instrument{Maker: "Aldermere"}, where.Zone)})
	}
	list, err := domain.Forecast(work, where, at)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestTheFirstJobOfTheQueueIsDatedAsIfItWereAlone(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	got := forecast(t, c, where, at, j, j)
	alone, err := domain.DatesOf(c, j.Work(), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !got[0].Ready.Equal(alone.Queued.Ready) {
		t.Errorf("the first is ready %v, alone %v", got[0].Ready, alone.Queued.Ready)
	}
	if got[1].Ready.Before(got[0].Ready) {
		t.Errorf("the second of two alike is ready %v, before the first, %v", got[1].Ready, got[0].Ready)
	}
	for _, s := range got[1].Path {
		if s.Instrument == "Aldermere (2)" {
			t.Errorf("the path names the job's own instrument: %+v", s)
		}
	}
}

func TestWhatIsLeftOfASuspendedTaskGoesOnAfterwards(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	first := j.Tasks[0].Operation
	j, err := j.Book(domain.Progress{Operation: first, Done: dec("1"), Left: dec("2"), On: jobDay}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	until := jobDay.AddDays(21)
	rests, err := j.Suspend(domain.Suspension{Operation: first, Why: "the haulier is ill", Since: at, Until: until}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	free, late := forecast(t, c, where, at, j)[0], forecast(t, c, where, at, rests)[0]
	for _, s := range late.Steps {
		if s.Operation == first && s.Start.Before(until.In(where.Zone)) {
			t.Errorf("%s goes on %v, before %v", first, s.Start, until)
		}
	}
	if !late.Ready.After(free.Ready) {
		t.Errorf("ready %v with the first task suspended, %v without", late.Ready, free.Ready)
	}
	if says := late.Path[0].Why; !strings.Contains(says, "suspended until 2026-03-23") {
		t.Errorf("the path begins with %q, want it to say what is waited for", says)
	}
}

func TestWorkThatNeverEndsIsRefusedByItsName(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	j, err := j.Book(domain.Progress{Operation: j.Tasks[0].Operation, Done: dec("1"), Left: dec("99999"), On: jobDay}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	work := []domain.JobWork{{Catalogue: c, Left: domain.LeftOf(j, domain.Instrument{Maker: "Aldermere"}, where.Zone)}}
	_, err = domain.Forecast(work, where, at)
	want := fmt.Sprintf("%q does not end within 10 years of opening hours", "Aldermere "+string(j.Tasks[0].Operation))
	if kindOf(err) != domain.Conflict || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want it to say %s", err, want)
	}
}

func TestPianosAndPlacesMayHaveAnyNames(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{
		{Name: "Ada", Skills: skillsOf(c), ProductiveShare: dec("1")}, {Name: "Bo", Skills: skillsOf(c), ProductiveShare: dec("1")},
	}
	where.Stations = append(where.Stations, domain.Station{Name: "people for " + skillsOf(c)[0], Count: 1}, domain.Station{Name: "body of Salon", Count: 1})
	var work []domain.JobWork
	for _, maker := range []string{"Salon (3)", "Salon", "Salon"} {
		work = append(work, domain.JobWork{Catalogue: c, Left: domain.LeftOf(j, domain.Instrument{Maker: maker}, where.Zone)})
	}
	if list, err := domain.Forecast(work, where, at); err != nil || len(list) != 3 {
		t.Errorf("%d dates, %v; want three", len(list), err)
	}
}

// TestATaskThatWasBegunGoesOnFirst books hours on a task far down the second
// of two jobs with one person for both: it goes on at once, before the first
// job's work and before what it would have waited for.
func TestATaskThatWasBegunGoesOnFirst(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{{Name: "one", Skills: skillsOf(c), ProductiveShare: dec("1")}}
	begun := domain.Task{}
	for _, x := range slices.Backward(j.Tasks) {
		if x.Left.IsPositive() && x.Line.Making != catalogue.Outside {
			begun = x
			break
		}
	}
	second, err := j.Book(domain.Progress{Operation: begun.Operation, Done: dec("1"), Left: dec("3"), On: jobDay}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	list := forecast(t, c, where, at, j, second)
	for _, s := range list[1].Steps {
		if s.Operation == begun.Operation && s.Sitting == 1 && !s.Start.Equal(at) {
			t.Errorf("%s was begun and goes on %v, want %v", s.Name, s.Start, at)
		}
	}
	for _, s := range list[0].Steps {
		if s.Finish.After(s.Start) && s.Start.Before(at.Add(3*time.Hour)) {
			t.Errorf("%s of the other job starts %v while the only person is busy", s.Name, s.Start)
		}
	}
	rests, err := second.Suspend(domain.Suspension{Operation: begun.Operation, Why: "glue", Since: at, Until: jobDay.AddDays(9)}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	if left := domain.LeftOf(rests, domain.Instrument{}, where.Zone); len(left.Begun) > 0 {
		t.Errorf("%v go on though they are suspended", left.Begun)
	}
}

func TestAJobOnHoldStartsNothingBeforeItsDay(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	held, err := j.Suspend(domain.Suspension{Why: "the client is asked", Since: at, Until: jobDay.AddDays(10)}, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range forecast(t, c, where, at, held)[0].Steps {
		if s.Start.Before(jobDay.AddDays(10).In(where.Zone)) {
			t.Errorf("%s starts %v while the job is on hold", s.Operation, s.Start)
		}
	}
}

// TestASuspendedTaskKeepsItsStationOnlyWhereItIsSaidTo lets a task rest on the
// only place that the job behind needs.
func TestASuspendedTaskKeepsItsStationOnlyWhereItIsSaidTo(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	code, station := catalogue.Code(""), ""
	for _, x := range j.Tasks {
		if op := c.Operation(x.Operation); op.Station != "" && x.Left.IsPositive() {
			code, station = x.Operation, op.Station
			break
		}
	}
	where.Stations = []domain.Station{{Name: station, Count: 1}}
	rest := func(keeps bool, others ...domain.Suspension) domain.Timeline {
		s := j
		for _, x := range append(others, domain.Suspension{Operation: code, Why: "parts", Since: at, Until: jobDay.AddDays(60), KeepsStation: keeps}) {
			var err error
			if s, err = s.Suspend(x, jobDay); err != nil {
				t.Fatal(err)
			}
		}
		return forecast(t, c, where, at, s, j)[1]
	}
	started := func(tl domain.Timeline) time.Time {
		for _, s := range tl.Steps {
			if s.Operation == code {
				return s.Start
			}
		}
		t.Fatalf("%s is not dated", code)
		return time.Time{}
	}
	until := jobDay.AddDays(60).In(where.Zone)
	if free, kept := started(rest(false)), started(rest(true)); !free.Before(until) || kept.Before(until) {
		t.Errorf("behind it %s starts %v where the %s is given up and %v where it is kept until %v", code, free, station, kept, until)
	}
	later := jobDay.AddDays(90)
	asked := domain.Suspension{Why: "the client is asked", Since: at, Until: later}
	if kept := started(rest(true, asked)); kept.Before(later.In(where.Zone)) {
		t.Errorf("behind it %s starts %v, though nobody clears the %s before the whole job goes on, on %v", code, kept, station, later)
	}
}

func TestSittingsAreLeftInTheShareOfTheHours(t *testing.T) {
	t.Parallel()
	line := domain.Line{Operation: "TU-01", Sessions: 4, Hours: catalogue.ThreePoint{Low: dec("6"), Likely: dec("8"), High: dec("9")}}
	for left, want := range map[string]int{"8": 4, "9": 4, "6.6": 4, "6.4": 3, "6": 3, "5.6": 3, "2": 1, "0": 1} {
		j := domain.Job{Tasks: []domain.Task{{Operation: "TU-01", Planned: dec("8"), Left: decimal.RequireFromString(left), Line: &line}}}
		q := domain.LeftOf(j, domain.Instrument{}, time.UTC)
		if got := q.Scope.Lines[0].Sessions; got != want {
			t.Errorf("%s h left of 8: %d sittings of 4, want %d", left, got, want)
		}
	}
}

func TestTheBaselineHoldsWhatWasPlannedAtTheAcceptance(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	b, err := domain.BaselineOf(c, j, someEstimate(t, c, j), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	alone, err := domain.DatesOf(c, j.Work(), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum := decimal.Zero
	for _, x := range j.Tasks {
		sum = sum.Add(x.Planned)
	}
	if !b.Hours.Equal(sum) || b.Plan == nil || !b.Plan.Ready.Equal(alone.Queued.Ready) || len(b.Links) == 0 {
		t.Errorf("got %s h ready %+v with %d links, want %s h ready %v", b.Hours, b.Plan, len(b.Links), sum, alone.Queued.Ready)
	}
	back, err := domain.ParseBaseline(b.Canonical())
	if err != nil || string(back.Canonical()) != string(b.Canonical()) {
		t.Errorf("read back it differs: %v", err)
	}
}

func someEstimate(t *testing.T, c *catalogue.Catalogue, j domain.Job) pricing.Estimate {
	t.Helper()
	e, err := domain.EstimateScope(c, grand(), nil, j.Work(), terms(c))
	if err != nil {
		t.Fatal(err)
	}
	return e
}
