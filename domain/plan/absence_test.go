package plan_test

import (
	"reflect"
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
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/google/uuid"
)

var (
	ada, bo = uuid.UUID{1}, uuid.UUID{2}
	bay     = uuid.UUID{9}
)

// crewed returns a shop with an intake bay and two people who both have every skill.
func crewed(t *testing.T, c *catalogue.Catalogue) plan.Shop {
	t.Helper()
	where := shop(t, domain.Station{ID: bay, Name: "intake bay", Count: 2})
	for id, name := range map[uuid.UUID]string{ada: "Ada", bo: "Bo"} {
		where.People = append(
			where.People,
			domain.Person{
				ID: id, Name: name, Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1"),
			},
		)
	}
	slices.SortFunc(
		where.People, func(a, b domain.Person) int { return strings.Compare(a.Name, b.Name) },
	)
	return where
}

// restoration returns a job on a grand to restore that nobody has looked at, with odds on each
// point.
func restoration(t *testing.T, c *catalogue.Catalogue, odds string) job.Job {
	t.Helper()
	js, err := survey.Judge(c, catalogue.Grand, nil)
	if err != nil {
		t.Fatal(err)
	}
	in := instrument.Instrument{Kind: catalogue.Grand, SizeMM: 1850, Notes: 88, Year: 1911}
	s, err := scope.Draw(
		c, in, js, catalogue.Restore, nil, domain.OddsFromChance(domaintest.Dec(odds)),
	)
	if err != nil {
		t.Fatal(err)
	}
	j, err := job.Accept(c, s, in, domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func away(who uuid.UUID, first domain.Date, days int) domain.Absence {
	return domain.Absence{Person: who, First: first, Last: first.AddDays(days - 1)}
}

// attended returns the steps of all jobs with hours of ours in them.
func attended(list []plan.Timeline) []plan.Step {
	var steps []plan.Step
	for _, tl := range list {
		for _, s := range tl.Steps {
			if s.Finish.After(s.Start) {
				steps = append(steps, s)
			}
		}
	}
	return steps
}

// hands returns how many people are at work at once at most from one instant to another.
func hands(c *catalogue.Catalogue, steps []plan.Step, from, to time.Time) int {
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
	where.Absences = []domain.Absence{
		away(ada, domaintest.JobDay.AddDays(3), 57), away(ada, domaintest.JobDay.AddDays(5), 5),
	}
	steps := attended(forecast(t, c, where, at, j, j, j))
	if got := hands(c, steps, begin, end); got != 1 {
		t.Errorf("%d at work at once while one of two is away, want 1", got)
	}
	where.Absences = append(where.Absences, away(bo, domaintest.JobDay.AddDays(4), 4))
	for _, s := range attended(forecast(t, c, where, at, j, j, j)) {
		for day := 4; day <= 7; day++ {
			if d := domaintest.JobDay.AddDays(day); domain.DateOf(s.Start) == d ||
				domain.DateOf(s.Finish) == d {
				t.Errorf("%s is worked on on %s, when everybody is away", s.Name, d)
			}
		}
	}
}

// However leave is entered, in one piece, in two that adjoin or twice over, it is the same leave.
func TestLeaveInPiecesIsLeave(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = crewed(t, c).People
	day := domaintest.JobDay.AddDays
	dated := func(list ...domain.Absence) []plan.Timeline {
		where.Absences = list
		return forecast(t, c, where, at, j, j)
	}
	want := dated(away(ada, day(1), 9), away(bo, day(2), 3))
	for name, list := range map[string][]domain.Absence{
		"two that adjoin": {away(ada, day(1), 4), away(ada, day(5), 5)},
		"out of order":    {away(ada, day(5), 5), away(ada, day(1), 4)},
		"that overlap":    {away(ada, day(1), 6), away(ada, day(4), 6)},
		"one in another":  {away(ada, day(1), 9), away(ada, day(3), 2)},
		"twice":           {away(ada, day(1), 9), away(ada, day(1), 9)},
		"day by day": {
			away(ada, day(1), 1), away(ada, day(2), 1), away(ada, day(3), 1), away(ada, day(4), 6),
		},
	} {
		if got := dated(append(list, away(bo, day(2), 3))...); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got\n%+v\nwant\n%+v", name, got, want)
		}
	}
	if reflect.DeepEqual(dated(), want) {
		t.Error("leave changes nothing")
	}
}

// Leave in the middle is the reason for the step after it and for no other.
func TestOnlyTheStepAfterTheLeaveIsPutOffByIt(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{
		{ID: ada, Name: "Ada", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1")},
	}
	told := 0
	for first := range 12 {
		leave := away(ada, domaintest.JobDay.AddDays(first), 7)
		where.Absences = []domain.Absence{leave}
		back := leave.Last.AddDays(1)
		for _, s := range forecast(t, c, where, at, j)[0].Path {
			if !strings.Contains(s.Why, "everybody is away until") {
				continue
			}
			told++
			if !strings.Contains(s.Why, back.String()) || back.DaysUntil(domain.DateOf(s.Start)) < 0 ||
				back.DaysUntil(domain.DateOf(s.Start)) > 3 { // over a weekend
				t.Errorf("leave until %s: %s starts %s because %q", back, s.Name, s.Start, s.Why)
			}
		}
	}
	if told == 0 {
		t.Error("nothing waits for anybody to be back")
	}
}

func TestADateSaysWhoWasAwayForIt(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	first := j.Tasks[0]
	where.People = []domain.Person{
		{
			ID: ada, Name: "Ada", Skills: []string{first.Line.Skill},
			ProductiveShare: domaintest.Dec("1"),
		},
		{
			ID: bo, Name: "Bo", Skills: []string{"something else"},
			ProductiveShare: domaintest.Dec("1"),
		},
	}
	where.Absences = []domain.Absence{
		away(ada, domaintest.JobDay, 5), away(ada, domaintest.JobDay.AddDays(5), 9),
	}
	tl := forecast(t, c, where, at, j)[0]
	for _, s := range attended([]plan.Timeline{tl}) {
		if c.Operation(s.Operation).Skill == first.Line.Skill &&
			s.Start.Before(domaintest.JobDay.AddDays(14).In(where.Zone)) {
			t.Errorf("%s starts %v, before Ada is back", s.Name, s.Start)
		}
	}
	want := "no free people for " + first.Line.Skill + ", Ada is away until 2026-03-16"
	if !slices.ContainsFunc(tl.Path, func(s plan.PathStep) bool { return s.Why == want }) {
		t.Errorf("no step of %+v says %q", tl.Path, want)
	}
}

func TestWhenEverybodyIsAwayTheReasonSaysSoAndOnlyTheQueueWaits(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = []domain.Person{
		{ID: ada, Name: "Ada", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1")},
	}
	before, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, j.Work())
	if err != nil {
		t.Fatal(err)
	}
	where.Absences = []domain.Absence{away(ada, domaintest.JobDay, 14)}
	after, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, j.Work())
	if err != nil {
		t.Fatal(err)
	}
	if !after.Alone.Ready.Equal(before.Alone.Ready) {
		t.Errorf(
			"as if everybody were free it is ready %s, and %s while Ada is away",
			before.Alone.Ready, after.Alone.Ready,
		)
	}
	if !after.Queued.Ready.After(before.Queued.Ready) {
		t.Errorf(
			"in the queue it is ready %s, and %s while Ada is away", before.Queued.Ready,
			after.Queued.Ready,
		)
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
	where.People = []domain.Person{
		{ID: ada, Name: "Ada", Skills: skillsOf(c), ProductiveShare: domaintest.Dec("1")},
	}
	where.Absences = []domain.Absence{away(ada, domaintest.JobDay, 750)}
	if back := domaintest.JobDay.AddDays(750).In(where.Zone); forecast(
		t, c, where, at, j,
	)[0].Ready.Before(back) {
		t.Error("it is ready before anybody is back")
	}
	for k := range 4 {
		where.Absences = append(where.Absences, away(ada, domaintest.JobDay.AddDays(750+1000*k), 1000))
	}
	work := []plan.JobWork{
		{
			Catalogue: c,
			Left:      job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone),
		},
	}
	_, err := plan.Forecast(t.Context(), work, where, at)
	if domaintest.KindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "who is away") {
		t.Errorf("nobody works for more than ten years: %v", err)
	}
	_, err = plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, j.Work())
	if domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("nobody works for more than ten years: %v", err)
	}
}

func TestAPlaceOutOfUseIsTakenAndSaysWhy(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	code := catalogue.Code("")
	for _, x := range j.Tasks {
		if op := c.Operation(x.Operation); op.Station != "" && x.Left.IsPositive() {
			code, where.Stations = x.Operation, []domain.Station{
				{ID: bay, Name: op.Station, Count: 2},
			}
			break
		}
	}
	started := func(places int) (time.Time, string) {
		where.Absences = []domain.Absence{
			{
				Station: bay, Places: places, First: domaintest.JobDay,
				Last: domaintest.JobDay.AddDays(29), Why: "new floor",
			},
		}
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
	until := domaintest.JobDay.AddDays(30).In(where.Zone)
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
