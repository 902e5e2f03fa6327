package plan_test

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/plan"
	"bentside/domain/scope"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// planned returns the inputs of a plan of three jobs on one intake bay with two people, the last
// promised early.
func planned(t *testing.T) (plan.Inputs, []*catalogue.Catalogue, *time.Location) {
	t.Helper()
	c, j, where, at := underWay(t)
	in := plan.Inputs{Engine: bid.Engine, At: at, Schedules: 60, Seed: 3, Stations: where.Stations}
	in.Workshop.Open, in.Workshop.Terms.Currency, in.Workshop.Terms.StoragePerDay = where.Open, "EUR",
		domaintest.Dec("2.00")
	skills := skillsOf(c)
	in.People = []domain.Person{
		{Name: "one", Skills: skills, ProductiveShare: domaintest.Dec("0.75")},
		{Name: "other", Skills: skills[:2], ProductiveShare: domaintest.Dec("0.75")},
	}
	var catalogues []*catalogue.Catalogue
	for k := range 3 {
		in.Jobs = append(in.Jobs, plan.JobInput{
			Job: uuid.UUID{byte(k + 1)}, Left: job.Remaining(
				j, instrument.Instrument{Maker: "Aldermere"}, where.Zone,
			), TiedUp: domaintest.Dec("1000"),
		})
		catalogues = append(catalogues, c)
	}
	in.Jobs[2].Due = domain.DateOf(at).AddDays(20)
	return in, catalogues, where.Zone
}

func TestTheShopsPlanPutsAPromiseFirstAndTellsWhy(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 2)
	if err != nil {
		t.Fatal(err)
	}
	if p.Jobs[2].Ready.After(p.Jobs[0].Ready) || p.Jobs[2].Ready.After(p.Jobs[1].Ready) {
		t.Errorf(
			"the promised job is ready %s, the others %s and %s", p.Jobs[2].Ready, p.Jobs[0].Ready,
			p.Jobs[1].Ready,
		)
	}
	if p.Objective.Cmp(p.Bound) < 0 || p.Schedules > in.Schedules {
		t.Errorf(
			"objective %s below the bound %s, or %d schedules of %d", p.Objective, p.Bound,
			p.Schedules, in.Schedules,
		)
	}
	for i, x := range p.Tasks {
		if x.Job == uuid.Nil || x.Why == "" || x.After >= len(p.Tasks) {
			t.Fatalf("task %d: %+v", i, x)
		}
		if s := x.Step; s.TotalFloat.LessThan(x.Slack) || !s.FreeFloat.Equal(x.Slack) ||
			s.LateStart.Before(s.Start) {
			t.Errorf(
				"%s: total float %s h, free float %s h, from %s to %s", s.Name, s.TotalFloat,
				x.Slack, s.Start, s.LateStart,
			)
		}
		if s := x.Step; s.Operation == "QC-03" && !s.TotalFloat.IsZero() {
			t.Errorf("the end of a job can slip by %s h at no cost", s.TotalFloat)
		}
		chain, err := p.Why(x.Job, x.Step.Operation)
		if err != nil || chain[len(chain)-1].Operation != x.Step.Operation {
			t.Fatalf("the chain of %s: %+v, %v", x.Step.Operation, chain, err)
		}
	}
	for _, l := range p.Loads {
		if l.Held.GreaterThan(l.Open) || !l.Held.IsPositive() {
			t.Errorf(
				"%s %s in the week of %s: %s h held of %s h", l.Kind, l.Name, l.Week, l.Held,
				l.Open,
			)
		}
	}
	if _, err := p.Why(uuid.New(), "QC-03"); domaintest.KindOf(err) != domain.NotFound {
		t.Errorf("a job that is not in the plan: %v", err)
	}
}

func TestNoMorePianosAreFetchedThanTheFloorHasRoomFor(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.Stations, in.People = []domain.Station{{Name: "floor", Count: 1}}, nil
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
	if err != nil {
		t.Fatal(err)
	}
	type stay struct{ from, to time.Time }
	stays := map[uuid.UUID]stay{}
	for _, x := range p.Tasks {
		s, known := stays[x.Job]
		if !known || x.Step.Start.Before(s.from) {
			s.from = x.Step.Start
		}
		if x.Step.Released.After(s.to) {
			s.to = x.Step.Released
		}
		stays[x.Job] = s
	}
	for one, a := range stays {
		for other, b := range stays {
			if one != other && a.from.Before(b.to) && b.from.Before(a.to) {
				t.Errorf(
					"%s stays from %s to %s and %s from %s to %s, where there is room for one", one,
					a.from, a.to, other, b.from, b.to,
				)
			}
		}
	}
	if !slices.ContainsFunc(p.Tasks, func(x plan.Task) bool {
		return strings.HasPrefix(x.Why, "there is no room on the floor until ")
	}) {
		t.Error("nothing waits for room on the floor")
	}
	full := 0
	for _, l := range p.Loads {
		if l.Name != "floor" || l.Held.GreaterThan(l.Open) {
			t.Errorf("a load of %+v, want none but of the floor, and within it", l)
		}
		for _, s := range stays {
			if !s.from.After(l.Week.In(zone)) && !s.to.Before(l.Week.AddDays(7).In(zone)) {
				if full++; !l.Held.Equal(l.Open) {
					t.Errorf(
						"in the week of %s the only place is held for %s h of %s, while a piano stands in it",
						l.Week, l.Held, l.Open,
					)
				}
			}
		}
	}
	if full == 0 {
		t.Error("no piano stands on the floor for a whole week")
	}
}

func TestAPianoThatIsFetchedInHalfAYearTakesNoRoomMeanwhile(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	held := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	held.Held = at.AddDate(0, 6, 0)
	ready := func(stations ...domain.Station) time.Time {
		where.Stations = stations
		sit := plan.Situation{Shop: where, At: at, Queue: []plan.QueuedWork{held}}
		d, err := sit.DatesOf(t.Context(), c, j.Work())
		if err != nil {
			t.Fatal(err)
		}
		return d.Queued.Ready
	}
	if without, with := ready(), ready(domain.Station{Name: "floor", Count: 1}); !with.Equal(without) {
		t.Errorf("ready %s with one place on the floor, %s with any number", with, without)
	}
}

// People are busy with a task while they work on it; where something settles, the place is taken
// until it has.
func TestAPlaceIsHeldUntilThePianoHasSettledAndPeopleWhileTheyWork(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
	if err != nil {
		t.Fatal(err)
	}
	people, settling := 0, 0
	for _, x := range p.Tasks {
		for _, h := range x.Holds {
			working := strings.HasPrefix(h.Station, "people for ")
			if working != h.Working || working && !h.Until.Equal(x.Step.Finish) {
				t.Errorf("%s holds %+v to the end of its work on %s", x.Step.Name, h, x.Step.Finish)
			}
			if working {
				people++
			}
			if h.Station != "intake bay" {
				continue
			}
			if settling++; !h.Until.Equal(x.Step.Released) || !h.Until.After(x.Step.Finish) {
				t.Errorf("%s holds the bay until %s; the piano has settled on %s", x.Step.Name, h.Until,
					x.Step.Released)
			}
		}
	}
	if people == 0 || settling == 0 {
		t.Errorf("%d holds of people, %d of the bay", people, settling)
	}
}

// The order in which a job lists its work moves no date.
func TestADateDoesNotDependOnTheOrderOfTheList(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.People = crewed(t, c).People
	dated := func(s scope.Scope) plan.Dates {
		d, err := plan.Situation{Shop: where, At: at}.DatesOf(t.Context(), c, s)
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	turned := j.Work()
	slices.Reverse(turned.Lines)
	if got, want := dated(turned), dated(j.Work()); !reflect.DeepEqual(got, want) {
		t.Errorf("listed backward it is ready %s, forward %s", got.Queued.Ready, want.Queued.Ready)
	}
}

// Pianos of one maker are told apart by their places in the queue, or the next number that is free.
func TestPianosOfOneNameAreNumbered(t *testing.T) {
	t.Parallel()
	for _, x := range []struct{ names, want []string }{
		{[]string{"Salon", "", "Salon"}, []string{"Salon", " (2)", "Salon (3)"}},
		{[]string{"Salon (3)", "Salon", "Salon"}, []string{"Salon (3)", "Salon", "Salon (4)"}},
	} {
		in, catalogues, zone := planned(t)
		for i, name := range x.names {
			in.Jobs[i].Left.Name = name
		}
		p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, j := range p.Jobs {
			got = append(got, j.Instrument)
		}
		if !slices.Equal(got, x.want) {
			t.Errorf("%q are called %q, want %q", x.names, got, x.want)
		}
	}
}

// Where the record of a sale isn't among the work, the piano is ready when the last of it is over,
// what dries and settles included.
func TestWithoutAnEndOfItsOwnAJobIsReadyWithTheLastOfItsWork(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	j.Tasks = slices.DeleteFunc(slices.Clone(j.Tasks), func(x job.Task) bool {
		return x.Operation == c.OperationMarked(catalogue.ReadyMark)
	})
	for _, tl := range forecast(t, c, where, at, j, j) {
		last := at
		for _, s := range tl.Steps {
			if s.Released.After(last) {
				last = s.Released
			}
		}
		if !tl.Ready.Equal(last) || len(tl.Steps) != len(j.Tasks) {
			t.Errorf("ready %s, and the last of %d steps is over on %s", tl.Ready, len(tl.Steps), last)
		}
	}
}

// What keeps a task waiting is told with the piano that it is for.
func TestATaskSaysWhichPianoIsInItsWay(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.Jobs[0].Left.Name, in.Jobs[1].Left.Name, in.Jobs[2].Left.Name = "Ash", "Birch", "Cedar"
	begun := &in.Jobs[1].Left
	begun.Scope.Lines = begun.Scope.Lines[len(begun.Scope.Lines)-2:]
	begun.Begun = []catalogue.Code{begun.Scope.Lines[0].Operation}
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
	if err != nil {
		t.Fatal(err)
	}
	told := map[string]int{}
	for _, x := range p.Tasks {
		if x.UnderWay {
			if told["begun"]++; x.Why != "under way; what is left goes on at once" {
				t.Errorf("%s was begun, and starts because %q", x.Step.Name, x.Why)
			}
		}
		if x.After < 0 {
			continue
		}
		ahead := p.Tasks[x.After]
		by := fmt.Sprintf("%q of %s", ahead.Step.Name, ahead.Instrument)
		switch {
		case strings.HasPrefix(x.Why, "no free people for "):
			if told["people"]++; !strings.HasSuffix(x.Why, " before "+by+" is done") {
				t.Errorf("%s waits because %q, want it to say %s", x.Step.Name, x.Why, by)
			}
		case strings.HasPrefix(x.Why, "the intake bay is taken"):
			if told["bay"]++; x.Why != "the intake bay is taken by "+by {
				t.Errorf("%s waits because %q, want it to say %s", x.Step.Name, x.Why, by)
			}
		}
	}
	if told["people"] == 0 || told["bay"] == 0 || told["begun"] != 1 {
		t.Errorf("told: %v", told)
	}
}

func TestWhoHasToGoBeforeThereIsRoomIsNamed(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.Stations = []domain.Station{{Name: "floor", Count: 1}}
	ahead := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	for name, lines := range map[string][]scope.Line{
		"a whole job": ahead.Scope.Lines, "one task": ahead.Scope.Lines[len(ahead.Scope.Lines)-1:],
	} {
		ahead.Scope.Lines = lines
		sit := plan.Situation{Shop: where, At: at, Queue: []plan.QueuedWork{ahead}}
		d, err := sit.DatesOf(t.Context(), c, j.Work())
		if err != nil {
			t.Fatal(err)
		}
		const want = "there is no room on the floor until Aldermere has gone"
		if !slices.ContainsFunc(d.Queued.Path, func(s plan.PathStep) bool { return s.Why == want }) {
			t.Errorf("behind %s: %+v, want it to say %q", name, d.Queued.Path, want)
		}
	}
}

// A piano that is here already stands on the floor while its job is on hold.
func TestAPianoThatWaitsHereTakesItsRoomMeanwhile(t *testing.T) {
	t.Parallel()
	c, j, where, at := underWay(t)
	where.Stations = []domain.Station{{Name: "floor", Count: 1}}
	here := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	here.Held = at.AddDate(0, 6, 0)
	arrival := c.OperationMarked(catalogue.ArrivalMark)
	here.Scope.Lines = slices.DeleteFunc(here.Scope.Lines, func(l scope.Line) bool {
		return l.Operation == arrival
	})
	sit := plan.Situation{Shop: where, At: at, Queue: []plan.QueuedWork{here}}
	d, err := sit.DatesOf(t.Context(), c, j.Work())
	if err != nil {
		t.Fatal(err)
	}
	if d.Queued.Ready.Before(here.Held) {
		t.Errorf("ready %s, while the only place is taken until %s and later", d.Queued.Ready, here.Held)
	}
}

func TestLoadsCountWhatIsKeptAsHeldAndWhatIsOutOfUseOnce(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.Stations = []domain.Station{{ID: bay, Name: "intake bay", Count: 2}}
	first := domain.DateOf(in.At)
	bayIn := func(week domain.Date) plan.Load {
		t.Helper()
		p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
		if err != nil {
			t.Fatal(err)
		}
		at := slices.IndexFunc(
			p.Loads, func(l plan.Load) bool { return l.Name == "intake bay" && l.Week == week },
		)
		if at < 0 {
			t.Fatalf("no load of the intake bay in the week of %s: %+v", week, p.Loads)
		}
		return p.Loads[at]
	}
	free := bayIn(first)
	in.Absences = []domain.Absence{{Station: bay, First: first, Last: first}}
	once := bayIn(first)
	in.Absences = append(
		in.Absences,
		domain.Absence{Station: bay, Places: 1, First: first, Last: first, Why: "also"},
	)
	if twice := bayIn(first); !twice.Open.Equal(once.Open) || !once.Open.LessThan(free.Open) {
		t.Errorf(
			"the bay is open for %s h, %s h with a day out of use and %s h with that day entered twice",
			free.Open, once.Open, twice.Open,
		)
	}
	in.Absences = nil
	for _, l := range in.Jobs[0].Left.Scope.Lines {
		if catalogues[0].Operation(l.Operation).Station == "intake bay" {
			in.Jobs[0].Left.Suspended = []plan.SuspendedWork{{
				Operation: l.Operation, Since: in.At.Add(-time.Hour), Until: in.At.AddDate(0, 0, 28),
				KeepsStation: true,
			}}
		}
	}
	in.Jobs, catalogues = in.Jobs[:1], catalogues[:1] // which waits, so that nothing else is held
	if kept := bayIn(first.AddDays(7)); !kept.Held.Equal(domaintest.Dec("40")) ||
		!kept.Open.Equal(domaintest.Dec("80")) {
		t.Errorf("with one of two places kept %s of %s h are held", kept.Held, kept.Open)
	}
	// what is kept in a place that is out of use isn't held beside it
	in.Absences = []domain.Absence{{Station: bay, First: first.AddDays(14), Last: first.AddDays(15)}}
	if both := bayIn(first.AddDays(14)); !both.Held.Equal(domaintest.Dec("24")) ||
		!both.Open.Equal(domaintest.Dec("48")) {
		t.Errorf("of a week less two days %s of %s h are held", both.Held, both.Open)
	}
}

func TestTheSameInputsGiveTheSamePlanByteForByte(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	var first []byte
	for _, workers := range []int{1, 4} {
		p, err := plan.Compute(context.Background(), in, catalogues, zone, workers)
		if err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = p.Canonical()
		} else if !bytes.Equal(first, p.Canonical()) {
			t.Error("another number of workers made another plan")
		}
	}
	read, err := plan.ParseResult(first)
	if err != nil || !bytes.Equal(first, read.Canonical()) {
		t.Errorf("a plan is not read as it was written: %v", err)
	}
	for schedules, refused := range map[int]bool{
		0: true, 1: false, plan.MaxSchedules: false, plan.MaxSchedules + 1: true,
	} {
		few := in
		few.Schedules, few.Jobs = schedules, in.Jobs[:1]
		_, err := plan.Compute(context.Background(), few, catalogues[:1], zone, 1)
		if refused != (domaintest.KindOf(err) == domain.Invalid) || !refused && err != nil {
			t.Errorf("a plan with %d schedules to spend: %v", schedules, err)
		}
	}
}

// 1000 tied up at 3.65 % a year are 10 cents a day beside 2.00 for the floor; a day too late counts
// tenfold. The work itself takes the same days.
func TestADayOfWaitingCostsStorageAndInterest(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.Jobs = in.Jobs[:1]
	cost := func(storage, rate string, due domain.Date) (decimal.Decimal, domain.Date) {
		in.Workshop.Terms.StoragePerDay = domaintest.Dec(storage)
		in.Workshop.Terms.FinanceRate, in.Jobs[0].Due = domaintest.Dec(rate), due
		p, err := plan.Compute(context.Background(), in, catalogues[:1], zone, 1)
		if err != nil {
			t.Fatal(err)
		}
		return p.Objective.Decimal(), domain.DateOf(p.Jobs[0].Ready.In(zone))
	}
	one, ready := cost("1.00", "0", domain.Date{})
	if !one.IsPositive() {
		t.Fatalf("it costs %s to wait until %s", one, ready)
	}
	for _, x := range []struct {
		storage, rate string
		due           domain.Date
		want          decimal.Decimal
	}{
		{"2.00", "0", domain.Date{}, one.Mul(domaintest.Dec("2"))},
		{"2.00", "0.0365", domain.Date{}, one.Mul(domaintest.Dec("2.1"))},
		{"0", "0.0365", domain.Date{}, one.Mul(domaintest.Dec("0.1"))},
		{"0", "0", domain.Date{}, one.Mul(domaintest.Dec("0.01"))}, // else nothing would hurry
		{"1.00", "0", ready, one},
	} {
		// each day's cost is rounded, so that a cent for each day is let pass
		if got, _ := cost(x.storage, x.rate, x.due); got.Sub(x.want).Abs().GreaterThan(one.Div(
			domaintest.Dec("100"),
		)) {
			t.Errorf("at %s a day and %s a year it costs %s, want %s", x.storage, x.rate, got, x.want)
		}
	}
	if late, _ := cost("1.00", "0", domain.DateOf(in.At)); late.LessThan(one.Mul(domaintest.Dec("8"))) {
		t.Errorf("late from the first day on it costs %s, want about ten times %s more", late, one)
	}
}

func TestThePlanGoesOnWithWhatWasBegun(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	begun := &in.Jobs[1].Left
	begun.Scope.Lines = begun.Scope.Lines[len(begun.Scope.Lines)-2:]
	code := begun.Scope.Lines[0].Operation
	begun.Begun = []catalogue.Code{code}
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 2)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range p.Tasks {
		if want := x.Job == in.Jobs[1].Job && x.Step.Operation == code; x.UnderWay != want ||
			want && !x.Step.Start.Equal(in.At) {
			t.Errorf(
				"%s of %s: under way %v, from %s", x.Step.Name, x.Instrument, x.UnderWay,
				x.Step.Start,
			)
		}
		for _, l := range p.Links {
			if l.To == i && x.UnderWay {
				t.Errorf("%s was begun, and is said to wait: %s", x.Step.Name, l.Text)
			}
		}
	}
}

func TestALoadIsHeldAgainstThePeopleWhoAreThere(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	in.People[0].ID, in.People[1].ID = ada, bo
	first := domain.DateOf(in.At)
	open := func() string {
		p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range p.Loads {
			if l.Held.GreaterThan(l.Open) {
				t.Errorf(
					"%s %s in the week of %s: %s h held of %s h", l.Kind, l.Name, l.Week, l.Held,
					l.Open,
				)
			}
			if l.Kind == "skill" && slices.Contains(in.People[1].Skills, l.Name) &&
				l.Week == first {
				return l.Open.String()
			}
		}
		t.Fatalf("no load of %q in the first week: %+v", in.People[1].Skills, p.Loads)
		return ""
	}
	if got := open(); got != "80" {
		t.Fatalf("two people have %s h in a week, want 80", got)
	}
	in.Absences = []domain.Absence{{Person: bo, First: first.AddDays(2), Last: first.AddDays(3)}}
	if got := open(); got != "64" {
		t.Errorf("with one of two away for two days there are %s h, want 64", got)
	}
}

// Nobody and somebody who can't do most of it are the same question: who is still to be found?
func TestThePlanListsEverySkillThatTheWorkNeedsAndNobodyHas(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	needed := map[string]bool{}
	for _, l := range in.Jobs[0].Left.Scope.Lines {
		if l.Making != catalogue.Outside {
			needed[catalogues[0].Operation(l.Operation).Skill] = true
		}
	}
	one := slices.Sorted(maps.Keys(needed))[0]
	for _, people := range [][]domain.Person{
		nil, {{Name: "one", Skills: []string{one}, ProductiveShare: domaintest.Dec("1")}},
	} {
		in.People = people
		p, err := plan.Compute(context.Background(), in, catalogues, zone, 2)
		if err != nil {
			t.Fatal(err)
		}
		want := slices.Sorted(maps.Keys(needed))
		if people != nil {
			want = want[1:]
		}
		if got := slices.Sorted(slices.Values(p.Unstaffed)); !slices.Equal(got, want) {
			t.Errorf("with %d people: unstaffed %q, want %q", len(people), got, want)
		}
	}
}

// The shop is open for 40 hours a week, to the last week of the plan.
func TestEveryWeekOfAPlanHasItsOpeningHours(t *testing.T) {
	t.Parallel()
	in, catalogues, zone := planned(t)
	p, err := plan.Compute(context.Background(), in, catalogues, zone, 1)
	if err != nil || len(p.Loads) == 0 {
		t.Fatal(p.Loads, err)
	}
	for _, l := range p.Loads {
		there := 0
		for _, s := range in.Stations {
			if l.Kind == "station" && s.Name == l.Name {
				there = s.Count
			}
		}
		for _, x := range in.People {
			if l.Kind == "skill" && slices.Contains(x.Skills, l.Name) {
				there++
			}
		}
		if want := decimal.NewFromInt(int64(40 * there)); !l.Open.Equal(want) {
			t.Errorf("%s %s in the week of %s: %s h, want %s", l.Kind, l.Name, l.Week, l.Open, want)
		}
		if l.Week.In(zone).Weekday() != time.Monday {
			t.Errorf("a week begins on %s", l.Week)
		}
	}
	if !slices.IsSortedFunc(p.Loads, func(a, b plan.Load) int {
		order := []string{"station", "skill"} // the workshop's places before its people
		return cmp.Or(
			slices.Index(order, a.Kind)-slices.Index(order, b.Kind), strings.Compare(a.Name, b.Name),
			a.Week.Compare(b.Week),
		)
	}) {
		t.Errorf("the loads stand in no order: %+v", p.Loads)
	}
}

// The earlier in the queue, the more a day of waiting weighs, so that no later job is served first
// for its own sake; the last weighs 1, and no weight leaves the bounds of costs.
func TestTheEarlierInTheQueueTheMoreADayOfWaitingWeighs(t *testing.T) {
	t.Parallel()
	for length := 1; length <= 60; length++ {
		for k := range length {
			weight := plan.QueueWeight(k, length)
			if weight < 1 || weight > 1<<24 || k == length-1 && weight != 1 {
				t.Errorf("place %d of %d weighs %d", k+1, length, weight)
			}
			if k == length-1 {
				continue
			}
			next := plan.QueueWeight(k+1, length)
			if weight < next || length <= 25 && weight < 2*next || length <= 5 && weight != 64*next {
				t.Errorf("place %d of %d weighs %d, the next %d", k+1, length, weight, next)
			}
		}
	}
}

func TestAnEmptyShopHasAnEmptyPlan(t *testing.T) {
	t.Parallel()
	in, _, zone := planned(t)
	in.Jobs = nil
	p, err := plan.Compute(context.Background(), in, nil, zone, 1)
	if err != nil || len(p.Tasks) != 0 || !p.Objective.IsZero() {
		t.Errorf("got %+v, %v", p, err)
	}
}
