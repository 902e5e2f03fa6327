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

var (
	ada, bo = uuid.UUID{1}, uuid.UUID{2}
	bay     = uuid.UUID{9}
)

// crewed is a shop with an intake bay and two people who both have every skill.
func crewed(t *testing.T, c *catalogue.Catalogue) domain.Shop {
	t.Helper()
	where := shop(t, domain.Station{ID: bay, Name: "intake bay", Count: 2})
	for id, name := range map[uuid.UUID]string{ada: "Ada", bo: "Bo"} {
		where.People = append(where.People, domain.Person{ID: id, Name: name, Skills: skillsOf(c), ProductiveShare: dec("1")})
	}
	slices.SortFunc(where.People, func(a, b domain.Person) int { return strings.Compare(a.Name, b.Name) })
	return where
}

// restoration is a job on a grand to restore that nobody has looked at, with odds
// on each point.
func restoration(t *testing.T, c *catalogue.Catalogue, odds string) domain.Job {
	t.Helper()
	js, err := domain.Judge(c, catalogue.Grand, nil)
	if err != nil {
		t.Fatal(err)
	}
	in := domain.Instrument{Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Year: 1911}
	s, err := domain.Draw(c, in, js, catalogue.Restore, nil, domain.EvenlyBad(dec(odds)))
	if err != nil {
		t.Fatal(err)
	}
	j, err := domain.Accept(c, s, in, jobDay)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func away(who uuid.UUID, first domain.Date, days int) domain.Absence {
	return domain.Absence{Person: who, First: first, Last: first.AddDays(days - 1)}
}

// attended are the steps of all jobs with hours of ours in them.
func attended(list []domain.Timeline) []domain.Step {
	var steps []domain.Step
	for _, tl := range list {
		for _, s := range tl.Steps {
			if s.Finish.After(s.Start) {
				steps = append(steps, s)
			}
		}
	}
	return steps
}

// hands is how many people are at work at once at most from one instant to
// another.
func hands(c *catalogue.Catalogue, steps []domain.Step, from, to time.Time) int {
	most := 0
	for _, s := range steps {
		at, count := s.Start, 0
		if at.Before(from) || !at.Before(to) {
			continue
		}
		for _, x := range steps {
			if !x.Start.After(at) && x.Finish.After(at) {
				count += max(c.Operation(x.Operation).Crew, 1)
			}
		}
		most = max(most, count)
	}
	return most
}

func TestNobodyIsCountedWhoIsAway(t *testing.T) {
	t.Parallel()
	c, _, where, at := underWay(t)
	j := restoration(t, c, "0.0004")
	where.People, where.Stations = crewed(t, c).People, nil
	// The first thing to do wants both.
	begin, end := at.AddDate(0, 0, 3), at.AddDate(0, 0, 60)
	if got := hands(c, attended(forecast(t, c, where, at, j, j, j)), begin, end); got != 2 {
		t.Fatalf("of two people %d are at work at once, want 2 or there is nothing to see", got)
	}
	// Twice entered, away once.
	where.Absences = []domain.Absence{away(ada, jobDay.AddDays(3), 57), away(ada, jobDay.AddDays(5), 5)}
	steps := attended(forecast(t, c, where, at, j, j, j))
	if got := hands(c, steps, begin, end); got != 1 {
		t.Errorf("%d at work at once while one of two is away, want 1", got)
	}
	where.Absences = append(where.Absences, away(bo, jobDay.AddDays(4), 4))
	for _, s := range attended(forecast(t, c, where, at, j, j, j)) {
		for day := 4; day <= 7; day++ {
			if d := jobDay.AddDays(day); domain.DateOf(s.Start) == d || domain.DateOf(s.Finish) == d {
				t.Errorf("%s is worked on on %s, when everybody is away", s.Name, d)
			}
		}
	}
}

func TestADateSaysWhoWasAwayForIt(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	first := j.Tasks[0]
	where.People = []domain.Person{
		{ID: ada, Name: "Ada", Skills: []string{first.Line.Skill}, ProductiveShare: dec("1")},
		{ID: bo, Name: "Bo", Skills: []string{"something else"}, ProductiveShare: dec("1")},
	}
	where.Absences = []domain.Absence{away(ada, jobDay, 14)}
	tl := forecast(t, c, where, at, j)[0]
	for _, s := range attended([]domain.Timeline{tl}) {
		if c.Operation(s.Operation).Skill == first.Line.Skill && s.Start.Before(jobDay.AddDays(14).In(where.Zone)) {
			t.Errorf("%s starts %v, before Ada is back", s.Name, s.Start)
		}
	}
	want := "no free people for " + first.Line.Skill + ", Ada is away until 2026-03-16"
	if !slices.ContainsFunc(tl.Path, func(s domain.PathStep) bool { return s.Why == want }) {
		t.Errorf("no step of %+v says %q", tl.Path, want)
	}
}

func TestWhenEverybodyIsAwayTheReasonSaysSoAndOnlyTheQueueWaits(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{{ID: ada, Name: "Ada", Skills: skillsOf(c), ProductiveShare: dec("1")}}
	before, err := domain.DatesOf(c, j.Work(), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	where.Absences = []domain.Absence{away(ada, jobDay, 14)}
	after, err := domain.DatesOf(c, j.Work(), where, at, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !after.Alone.Ready.Equal(before.Alone.Ready) {
		t.Errorf("as if everybody were free it is ready %s, and %s while Ada is away", before.Alone.Ready, after.Alone.Ready)
	}
	if !after.Queued.Ready.After(before.Queued.Ready) {
		t.Errorf("in the queue it is ready %s, and %s while Ada is away", before.Queued.Ready, after.Queued.Ready)
	}
	if got, want := after.Queued.Path[0].Why, "everybody is away until 2026-03-16"; got != want {
		t.Errorf("the first step waits because %q, want %q", got, want)
	}
	for _, s := range after.Alone.Path {
		if strings.Contains(s.Why, "away") {
			t.Errorf("as if everybody were free %s waits because %q", s.Name, s.Why)
		}
	}
}

func TestLeaveOfYearsOnlyPutsDatesOffAndEndlessLeaveIsRefused(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{{ID: ada, Name: "Ada", Skills: skillsOf(c), ProductiveShare: dec("1")}}
	where.Absences = []domain.Absence{away(ada, jobDay, 750)}
	if back := jobDay.AddDays(750).In(where.Zone); forecast(t, c, where, at, j)[0].Ready.Before(back) {
		t.Error("it is ready before anybody is back")
	}
	for k := range 4 {
		where.Absences = append(where.Absences, away(ada, jobDay.AddDays(750+1000*k), 1000))
	}
	work := []domain.JobWork{{Catalogue: c, Left: domain.LeftOf(j, domain.Instrument{Maker: "Aldermere"}, where.Zone)}}
	_, err := domain.Forecast(work, where, at)
	if kindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "who is away") {
		t.Errorf("nobody works for more than ten years: %v", err)
	}
	_, err = domain.DatesOf(c, j.Work(), where, at, nil)
	if kindOf(err) != domain.Conflict {
		t.Errorf("nobody works for more than ten years: %v", err)
	}
}

func TestAPlaceOutOfUseIsTakenAndSaysWhy(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	code := catalogue.Code("")
	for _, x := range j.Tasks {
		if op := c.Operation(x.Operation); op.Station != "" && x.Left.IsPositive() {
			code, where.Stations = x.Operation, []domain.Station{{ID: bay, Name: op.Station, Count: 2}}
			break
		}
	}
	started := func(places int) (time.Time, string) {
		where.Absences = []domain.Absence{{Station: bay, Places: places, First: jobDay, Last: jobDay.AddDays(29), Why: "new floor"}}
		tl := forecast(t, c, where, at, j)[0]
		why := ""
		for _, s := range tl.Path {
			why += s.Why + "\n"
		}
		for _, s := range tl.Steps {
			if s.Operation == code {
				return s.Start, why
			}
		}
		t.Fatalf("%s is not dated", code)
		return time.Time{}, ""
	}
	until := jobDay.AddDays(30).In(where.Zone)
	if start, _ := started(1); !start.Before(until) {
		t.Errorf("with one of two places out of use %s starts %v", code, start)
	}
	start, why := started(0)
	if start.Before(until) {
		t.Errorf("with all places out of use %s starts %v, before %v", code, start, until)
	}
	if want := "out of use until 2026-04-01 (new floor)"; !strings.Contains(why, want) {
		t.Errorf("the path says %q, want %q in it", why, want)
	}
}

func TestAbsencesThatCannotBeAreRefusedAllAtOnce(t *testing.T) {
	t.Parallel()
	people := []domain.Person{{ID: ada}}
	stations := []domain.Station{{ID: bay, Name: "booth", Count: 2}, {ID: bo, Name: "floor", Count: 9}}
	day := jobDay.AddDays
	for name, c := range map[string]struct {
		absence domain.Absence
		want    []string
	}{
		"of nothing":             {domain.Absence{First: jobDay, Last: day(3)}, []string{"#/person"}},
		"of both":                {domain.Absence{Person: ada, Station: bay, First: jobDay, Last: day(3)}, []string{"#/person"}},
		"of a stranger":          {domain.Absence{Person: bo, Places: 1, First: jobDay, Last: day(-1)}, []string{"#/person", "#/places", "#/last", "#/last"}},
		"of no station":          {domain.Absence{Station: ada, First: jobDay, Last: jobDay}, []string{"#/station"}},
		"of the floor":           {domain.Absence{Station: bo, First: jobDay, Last: jobDay}, []string{"#/station"}},
		"more than there is":     {domain.Absence{Station: bay, Places: 3, First: jobDay, Last: jobDay}, []string{"#/places"}},
		"over already":           {domain.Absence{Person: ada, First: day(-9), Last: day(-1)}, []string{"#/last"}},
		"for ever":               {domain.Absence{Person: ada, First: jobDay, Last: day(9_000)}, []string{"#/last", "#/last"}},
		"a day of one, sound":    {domain.Absence{Person: ada, First: jobDay, Last: jobDay}, nil},
		"began before, sound":    {domain.Absence{Person: ada, First: day(-9), Last: day(9)}, nil},
		"places of a bay, sound": {domain.Absence{Station: bay, Places: 2, First: jobDay, Last: day(9)}, nil},
	} {
		var got []string
		var f *domain.Fault
		if err := c.absence.Check(people, stations, jobDay); errors.As(err, &f) {
			for _, x := range f.Fields {
				got = append(got, x.Pointer)
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

func TestNoPlanRepeatsWhyAPersonIsAway(t *testing.T) {
	t.Parallel()
	list := []domain.Absence{{Person: ada, Why: "in hospital"}, {Station: bay, Why: "new floor"}}
	if got := domain.InPlans(list); got[0].Why != "" || got[1].Why != "new floor" || list[0].Why == "" {
		t.Errorf("got %+v from %+v", got, list)
	}
}
