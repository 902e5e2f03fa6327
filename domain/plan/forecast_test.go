package plan_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
)

// underWay returns a job of the shipped catalogue's work on a grand that is sold as it stands,
// accepted on a Monday morning.
func underWay(t *testing.T) (*catalogue.Catalogue, job.Job, plan.Shop, time.Time) {
	t.Helper()
	c, s := asFound(t)
	j, err := job.Accept(c, s, instrument.Instrument{}, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Tasks) < 3 {
		t.Fatalf("only %d tasks to look at", len(j.Tasks))
	}
	where := shop(
		t, domain.Station{Name: "intake bay", Count: 1},
		domain.Station{Name: "quiet room", Count: 1},
	)
	return c, j, where, time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
}

func forecast(
	t *testing.T, c *catalogue.Catalogue, where plan.Shop, at time.Time, jobs ...job.Job,
) []plan.Timeline {
	t.Helper()
	var work []plan.JobWork
	for _, j := range jobs {
		work = append(
			work,
			plan.JobWork{
				Catalogue: c,
				Left:      job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone),
			},
		)
	}
	list, err := plan.Forecast(t.Context(), work, where, at)
	if err != nil {
		t.Fatal(err)
	}
	return list
}

func TestTheFirstJobOfTheQueueIsDatedAsIfItWereAlone(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	got := forecast(t, c, where, at, j, j)
	alone, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, j.Work())
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
	j, _, err := j.Book(
		c, job.Progress{
			Operation: first, Minutes: 60, Left: domaintest.Dec("2"),
			On: domaintest.JobDay,
		},
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	until := domaintest.JobDay.AddDays(21)
	rests, err := j.Suspend(
		job.Suspension{Operation: first, Why: "the haulier is ill", Since: at, Until: until},
		domaintest.JobDay,
	)
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
	if says := late.Path[0].Why; !strings.Contains(
		says, "suspended until 2026-03-23 (the haulier is ill)",
	) {
		t.Errorf("the path begins with %q, want it to say what is waited for, and why", says)
	}
	held, err := j.Suspend(
		job.Suspension{Why: "the owner travels", Since: at, Until: until}, domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	if says := forecast(t, c, where, at, held)[0].Path[0].Why; !strings.Contains(
		says, "on hold until 2026-03-23 (the owner travels)",
	) {
		t.Errorf("the path begins with %q, want it to say why the job is on hold", says)
	}
}

func TestWorkThatNeverEndsIsRefusedByItsName(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	j, _, err := j.Book(
		c, job.Progress{
			Operation: j.Tasks[0].Operation, Minutes: 60,
			Left: domaintest.Dec("99999"), On: domaintest.JobDay,
		},
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	work := []plan.JobWork{
		{
			Catalogue: c,
			Left:      job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone),
		},
	}
	_, err = plan.Forecast(t.Context(), work, where, at)
	want := fmt.Sprintf(
		"%q does not end within 10 years of opening hours",
		"Aldermere "+string(j.Tasks[0].Operation),
	)
	if domaintest.KindOf(err) != domain.Conflict || !strings.Contains(err.Error(), want) {
		t.Errorf("got %v, want it to say %s", err, want)
	}
}

func TestPianosAndPlacesMayHaveAnyNames(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{
		{
			Name: "Ada", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1"),
		}, {Name: "Bo", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1")},
	}
	where.Stations = append(
		where.Stations, domain.Station{Name: "people for " + skillsOf(c)[0], Count: 1},
		domain.Station{Name: "body of Salon", Count: 1},
	)
	var work []plan.JobWork
	for _, maker := range []string{"Salon (3)", "Salon", "Salon"} {
		work = append(
			work,
			plan.JobWork{
				Catalogue: c,
				Left:      job.Remaining(j, instrument.Instrument{Maker: maker}, where.Zone),
			},
		)
	}
	if list, err := plan.Forecast(t.Context(), work, where, at); err != nil || len(list) != 3 {
		t.Errorf("%d dates, %v; want three", len(list), err)
	}
}

// TestATaskThatWasBegunGoesOnFirst books hours on a task far down the second of two jobs with one
// person for both: it goes on at once, before the first job's work.
func TestATaskThatWasBegunGoesOnFirst(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{
		{Name: "one", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1")},
	}
	begun := job.Task{}
	for _, x := range slices.Backward(j.Tasks) {
		if x.Left.IsPositive() && x.Line.Making != catalogue.Outside {
			begun = x
			break
		}
	}
	ready := upTo(t, c, j, begun.Operation, at.AddDate(0, -6, 0))
	second, _, err := ready.Book(
		c, job.Progress{
			Operation: begun.Operation, Minutes: 60, Left: domaintest.Dec("3"),
			On: domaintest.JobDay,
		},
		domaintest.JobDay,
	)
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
	rests, err := second.Suspend(
		job.Suspension{
			Operation: begun.Operation, Why: "glue", Since: at, Until: domaintest.JobDay.AddDays(9),
		},
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	if left := job.Remaining(rests, instrument.Instrument{}, where.Zone); len(left.Begun) > 0 {
		t.Errorf("%v go on though they are suspended", left.Begun)
	}
}

// TestWhatWasBegunBeforeItsTimeGoesOnInItsTurn books hours on each task of a job while all that
// goes before it is open: the rest of it waits for that, and what follows waits for the rest.
func TestWhatWasBegunBeforeItsTimeGoesOnInItsTurn(t *testing.T) {
	t.Parallel()
	c, j, where, at := worn(t)
	tried := 0
	for _, x := range j.Tasks {
		ahead := j.Ahead(c, x.Operation)
		if len(ahead) == 0 || x.Line.Making == catalogue.Outside {
			continue
		}
		tried++
		p := job.Progress{
			Operation: x.Operation, Minutes: 60, Left: domaintest.Dec("3"),
			On: domaintest.JobDay,
		}
		_, _, err := j.Book(c, p, domaintest.JobDay)
		fault := domaintest.FaultOf(err)
		if fault == nil || len(fault.Fields) != 1 || fault.Fields[0].Pointer != "#/reason" ||
			!strings.Contains(fault.Fields[0].Detail, string(ahead[0].Operation)) {
			t.Fatalf("%s before its time and no reason: got %v", x.Operation, err)
		}
		p.Reason = "the bench was free"
		begun, said, err := j.Book(c, p, domaintest.JobDay)
		if err != nil || len(said.Ahead) != len(ahead) {
			t.Fatalf("%s with a reason: got %+v, %v", x.Operation, said, err)
		}
		p.Reason = ""
		if _, _, err := begun.Book(c, p, domaintest.JobDay); err != nil {
			t.Errorf("%s the day after, with nothing new before it: got %v", x.Operation, err)
		}
		steps := forecast(t, c, where, at, begun)[0]
		rest := begins(steps, x.Operation)
		for _, before := range ahead {
			if s := begins(steps, before.Operation); rest == nil || s == nil ||
				rest.Start.Before(s.Finish) {
				t.Errorf("the rest of %s is at %+v, %s before it at %+v", x.Operation, rest,
					before.Operation, s)
			}
		}
		for _, after := range j.Tasks {
			waits := slices.ContainsFunc(j.Ahead(c, after.Operation), func(a plan.Ahead) bool {
				return a.Operation == x.Operation
			})
			if s := begins(steps, after.Operation); waits && s.Start.Before(rest.Finish) {
				t.Errorf("%s at %+v doesn't wait for the rest of %s at %+v", after.Operation, s,
					x.Operation, rest)
			}
		}
	}
	if tried < 10 {
		t.Errorf("only %d tasks have something before them", tried)
	}
}

func TestAJobOnHoldStartsNothingBeforeItsDay(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	held, err := j.Suspend(
		job.Suspension{Why: "the client is asked", Since: at, Until: domaintest.JobDay.AddDays(10)},
		domaintest.JobDay,
	)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range forecast(t, c, where, at, held)[0].Steps {
		if s.Start.Before(domaintest.JobDay.AddDays(10).In(where.Zone)) {
			t.Errorf("%s starts %v while the job is on hold", s.Operation, s.Start)
		}
	}
}

// TestASuspendedTaskKeepsItsStationOnlyWhereItIsSaidTo lets a task rest on the only place that the
// job behind needs.
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
	rest := func(keeps bool, others ...job.Suspension) plan.Timeline {
		s := j
		for _, x := range append(
			others,
			job.Suspension{
				Operation: code, Why: "parts", Since: at, Until: domaintest.JobDay.AddDays(60),
				KeepsStation: keeps,
			},
		) {
			var err error
			if s, err = s.Suspend(x, domaintest.JobDay); err != nil {
				t.Fatal(err)
			}
		}
		return forecast(t, c, where, at, s, j)[1]
	}
	started := func(tl plan.Timeline) time.Time {
		for _, s := range tl.Steps {
			if s.Operation == code {
				return s.Start
			}
		}
		t.Fatalf("%s is not dated", code)
		return time.Time{}
	}
	until := domaintest.JobDay.AddDays(60).In(where.Zone)
	if free, kept := started(rest(false)), started(rest(true)); !free.Before(until) ||
		kept.Before(until) {
		t.Errorf(
			"behind it %s starts %v where the %s is given up and %v where it is kept until %v",
			code, free, station, kept, until,
		)
	}
	later := domaintest.JobDay.AddDays(90)
	asked := job.Suspension{Why: "the client is asked", Since: at, Until: later}
	if kept := started(rest(true, asked)); kept.Before(later.In(where.Zone)) {
		t.Errorf(
			"behind it %s starts %v, though nobody clears the %s before the whole job goes on, on %v",
			code, kept, station, later,
		)
	}
}
