package domain_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"

	"github.com/shopspring/decimal"
)

// The store keeps fourteen digits before the point and six after it.
func TestAReadingHasFourteenDigitsBeforeThePointAndSixAfter(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{
		"0": true, "99999999999999": true, "-99999999999999": true, "1e13": true,
		"99999999999999.999999": true, "0.000001": true,
		"100000000000000": false, "1e14": false, "0.0000001": false, "1e-7": false,
		"1e9000": false, "1e-9000": false,
	} {
		if got := domain.WithinDigits(decimal.RequireFromString(text)); got != want {
			t.Errorf("%s: got %t", text, got)
		}
	}
}

func TestNobodyIsAwayForMoreThanThreeYearsOrPlannedForMoreThanTwenty(t *testing.T) {
	t.Parallel()
	today := domaintest.JobDay
	for name, x := range map[string]struct {
		first, last int // days from today
		refused     bool
	}{
		"one day":                  {0, 0, false},
		"three years":              {0, 3 * 366, false},
		"a day more":               {0, 3*366 + 1, true},
		"it ends today":            {-5, 0, false},
		"it ended yesterday":       {-5, -1, true},
		"backwards":                {5, 4, true},
		"the last day of all":      {20 * 366, 20 * 366, false},
		"the day after it":         {20*366 + 1, 20*366 + 1, true},
		"over the last day of all": {20 * 366, 20*366 + 1, true},
	} {
		a := domain.Absence{Person: ada, First: today.AddDays(x.first), Last: today.AddDays(x.last)}
		err := a.Check([]domain.Person{{ID: ada}}, nil, today)
		if got := slices.Equal(pointersOf(err), []string{"#/last"}); got != x.refused {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestOnlyASettingCanBeConfirmed(t *testing.T) {
	t.Parallel()
	wantFaults(t, domain.CheckConfirmed([]domain.AssumptionKey{
		domain.AssumedTaxRegime, domain.AssumedUnfitBrings, "weather",
	}), []string{"#/keys/1", "#/keys/2"}, "unfit_brings with the bid's question")
	if err := domain.CheckConfirmed([]domain.AssumptionKey{domain.AssumedRooms}); err != nil {
		t.Errorf("rooms: %v", err)
	}
}

func TestDatesSayWhatTheyTakeForGranted(t *testing.T) {
	t.Parallel()
	hours := domain.Assumption{Key: domain.AssumedHours}
	tax := domain.Assumption{Key: domain.AssumedTaxRegime}
	if got := domain.DatesAssume([]domain.Assumption{tax}); got != "" {
		t.Errorf("a tax regime moves no date: %q", got)
	}
	want := "The dates take for granted what nobody has entered: opening hours."
	if got := domain.DatesAssume([]domain.Assumption{tax, hours}); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestADayIsWrittenInOneWay(t *testing.T) {
	t.Parallel()
	d, err := domain.ParseDate("2028-02-29")
	if err != nil || d.String() != "2028-02-29" {
		t.Errorf("got %s, %v", d, err)
	}
	for _, text := range []string{"", "29.2.2028", "2026-02-29", "2026-2-1"} {
		if d, err := domain.ParseDate(text); err == nil || !d.IsZero() {
			t.Errorf("%q is read as %s", text, d)
		}
	}
}

// Until a workshop enters figures of its own (from memory), they can be used: forty hours from
// Monday to Friday, and an hour of overhead and a day of storage cost less than an hour's labour.
func TestAWorkshopCanStartWithTheDefaults(t *testing.T) {
	t.Parallel()
	terms := domain.DefaultTerms("GBP")
	for _, skill := range catalogue.Skills {
		terms.LabourRates[skill] = domain.DefaultLabourRate
	}
	w := domain.Workshop{Name: "Fernwood Pianos", Zone: "Europe/London", Terms: terms}
	w.Open.Week = domain.DefaultWeek()
	if err := w.Check(); err != nil {
		t.Error(err)
	}
	minutes := 0
	for day, intervals := range w.Open.Week {
		weekend := time.Weekday(day) == time.Saturday || time.Weekday(day) == time.Sunday
		if weekend != (len(intervals) == 0) {
			t.Errorf("%s: %v", time.Weekday(day), intervals)
		}
		for _, i := range intervals {
			minutes += i.To - i.From
			if i.From < 6*60 || i.To > 20*60 {
				t.Errorf("%s: minute %d to %d is night", time.Weekday(day), i.From, i.To)
			}
		}
	}
	if minutes != 40*60 {
		t.Errorf("a week of %d minutes, want 40 hours", minutes)
	}
	for what, v := range map[string]decimal.Decimal{
		"overhead": terms.OverheadRate, "storage": terms.StoragePerDay,
	} {
		if !v.IsPositive() || v.GreaterThanOrEqual(domain.DefaultLabourRate) {
			t.Errorf("%s at %s", what, v)
		}
	}
	if o := terms.UnknownOdds.Default; !o.NotSound().Equal(domaintest.Dec("0.5")) {
		t.Errorf("a point that nobody looked at is bad at %s", o.NotSound())
	}
}

func TestOnlyWhatPassesMayBeSentAgain(t *testing.T) {
	t.Parallel()
	for kind, want := range map[domain.FaultKind]bool{
		domain.KeyBusy: true, domain.Unavailable: true, domain.Busy: true, domain.TooMany: true,
		domain.OutcomeUnknown: true,
		domain.Invalid:        false, domain.Unauthenticated: false, domain.Forbidden: false,
		domain.NotFound: false, domain.Conflict: false, domain.Stale: false,
		domain.NoPrecondition: false, domain.KeyReused: false,
	} {
		if kind.Passing() != want {
			t.Errorf("%s: passing %t", kind, kind.Passing())
		}
	}
}

func TestARefusalListsAHundredFaultsAndCountsTheRest(t *testing.T) {
	t.Parallel()
	for n, want := range map[int]string{
		99: "the request breaks a rule", 100: "the request breaks a rule",
		101: "the request breaks a rule in 101 places; the first 100 are listed",
	} {
		var f domain.Faults
		for range n {
			f.Add("#/x", "wrong")
		}
		fault := domaintest.FaultOf(f.Err())
		if f.Full() != (n >= 100) || fault.Detail != want || len(fault.Fields) != min(n, 100) {
			t.Errorf("%d faults: full %t, %d listed, %q", n, f.Full(), len(fault.Fields), fault.Detail)
		}
	}
	if err := (domain.Faults{}).Err(); err != nil {
		t.Errorf("no faults: %v", err)
	}
	plain := domain.Refuse(domain.Conflict, "the job is closed")
	if got := plain.Text(); got != "the job is closed" {
		t.Errorf("got %q", got)
	}
	fields := &domain.Fault{Detail: "x", Fields: []domain.FieldFault{{Detail: "one"}, {Detail: "two"}}}
	if got := fields.Text(); got != "one; two" {
		t.Errorf("got %q", got)
	}
}

func TestOpeningHoursLieInTheDayOneAfterTheOther(t *testing.T) {
	t.Parallel()
	day := func(minutes ...int) []domain.Interval {
		var list []domain.Interval
		for i := 0; i < len(minutes); i += 2 {
			list = append(list, domain.Interval{From: minutes[i], To: minutes[i+1]})
		}
		return list
	}
	for name, x := range map[string]struct {
		hours   []domain.Interval
		pointer string
	}{
		"round the clock":      {day(0, 1440), ""},
		"without a break":      {day(480, 720, 720, 1020), ""},
		"beyond midnight":      {day(480, 1455), "#/open/week/6/0"},
		"of no length":         {day(480, 480), "#/open/week/6/0"},
		"backwards":            {day(720, 480), "#/open/week/6/0"},
		"overlapping":          {day(480, 720, 705, 1020), "#/open/week/6/1"},
		"off the quarter hour": {day(481, 720), "#/open/week/6/0"},
		"until five past":      {day(480, 725), "#/open/week/6/0"},
		"never":                {nil, "#/open/week"},
	} {
		w := goodWorkshop(t)
		w.Open.Week = [7][]domain.Interval{6: x.hours}
		err := w.Check()
		if got := pointersOf(err); x.pointer == "" && err != nil ||
			x.pointer != "" && !slices.Equal(got, []string{x.pointer}) {
			t.Errorf("%s: got %v, want a fault at %q", name, err, x.pointer)
		}
	}
}

// The Ivory Act 2018 as the trade dossier sums it up (S90 to S92).
func TestTheIvoryActGoesByTheYearOfMaking(t *testing.T) {
	t.Parallel()
	for year, want := range map[int]domain.IvoryStatus{
		-1: domain.IvoryUndated, 0: domain.IvoryUndated, 1: domain.IvoryRegister,
		1946: domain.IvoryRegister, 1947: domain.IvoryCertificate, 1974: domain.IvoryCertificate,
		1975: domain.IvoryBarred, 2020: domain.IvoryBarred,
	} {
		if got := domain.IvoryInUK(year); got != want {
			t.Errorf("%d: got %s, want %s", year, got, want)
		}
	}
}

// CV-41 of the trade dossier: more than 5 t in twelve months (S103).
func TestFiveTonnesOfSolventNeedNoPermitYet(t *testing.T) {
	t.Parallel()
	for tonnes, want := range map[string]bool{"4.999": false, "5": false, "5.001": true} {
		if got := domain.NeedsSolventPermit(domaintest.Dec(tonnes)); got != want {
			t.Errorf("%s t: got %t", tonnes, got)
		}
	}
}

// A workshop had one chance for all points once; documents of then are still read.
func TestOddsAreReadAsOneChanceOrAsThree(t *testing.T) {
	t.Parallel()
	for text, mustAct := range map[string]string{
		`0.4`: "0.2", ` "0.4"`: "0.2",
		"\n {\"default\": {\"sound\": \"0.7\", \"attention\": \"0.2\", \"must_act\": \"0.1\"}}": "0.1",
	} {
		var u domain.UnknownOdds
		if err := json.Unmarshal([]byte(text), &u); err != nil ||
			!u.Default.MustAct.Equal(domaintest.Dec(mustAct)) {
			t.Errorf("%s: %+v, %v", text, u.Default, err)
		}
	}
	var u domain.UnknownOdds
	if err := json.Unmarshal([]byte(`"often"`), &u); err == nil {
		t.Errorf("often is read as %+v", u)
	}
}

func TestOddsHaveFourDecimalsAndComeToOne(t *testing.T) {
	t.Parallel()
	for name, x := range map[string]struct {
		odds    domain.Odds
		pointer string
	}{
		"four decimals": {domaintest.OddsOf("0.9999", "0.0001", "0"), ""},
		"five":          {domaintest.OddsOf("0.99995", "0.00005", "0"), "#/terms/unknown_odds/default/sound"},
		"too many":      {domaintest.OddsOf("0.9", "0.2", "0"), "#/terms/unknown_odds/default"},
		"negative":      {domaintest.OddsOf("1", "0.1", "-0.1"), "#/terms/unknown_odds/default/must_act"},
		"above one":     {domaintest.OddsOf("1.1", "0", "0"), "#/terms/unknown_odds/default/sound"},
		"certain":       {domaintest.OddsOf("1", "0", "0"), ""},
	} {
		w := goodWorkshop(t)
		w.Terms.UnknownOdds = domain.UnknownOdds{Default: x.odds}
		err := w.Check()
		if got := pointersOf(err); x.pointer == "" && err != nil ||
			x.pointer != "" && (len(got) == 0 || got[0] != x.pointer) {
			t.Errorf("%s: got %v, want a fault at %q", name, err, x.pointer)
		}
	}
	u := domain.UnknownOdds{Points: map[catalogue.PointCode]domain.Odds{"SV-29": {}, "SV-999": {}}}
	wantFaults(t, u.CheckPoints(domaintest.Shipped(t)),
		[]string{"#/terms/unknown_odds/points/SV-999"}, "isn't a point of the survey")
}

// A point that can stop a purchase is seldom as bad as that, also where a workshop has no odds of
// its own.
func TestAStoppingPointHasItsOwnOddsUnlessTheWorkshopKnowsBetter(t *testing.T) {
	t.Parallel()
	table, err := catalogue.UnseenStops()
	if err != nil {
		t.Fatal(err)
	}
	terms := domain.DefaultTerms("GBP")
	i := slices.IndexFunc(table, func(x catalogue.Unseen) bool { return !x.Odds.IsZero() })
	point := table[i].Point
	if got := terms.PointOdds().Of(point); !got.MustAct.Equal(table[i].Odds) {
		t.Errorf("%s: got %+v, want it bad at %s", point, got, table[i].Odds)
	}
	own := domaintest.OddsOf("0.1", "0.2", "0.7")
	terms.UnknownOdds.Points = map[catalogue.PointCode]domain.Odds{point: own}
	if got := terms.PointOdds().Of(point); got != own {
		t.Errorf("%s: got %+v, want the workshop's own", point, got)
	}
	if len(terms.UnknownOdds.Points) != 1 {
		t.Errorf("the workshop's own odds were added to: %v", terms.UnknownOdds.Points)
	}
}

func TestPeopleAndPlacesAreEnteredWithinBounds(t *testing.T) {
	t.Parallel()
	name, text := strings.Repeat("n", domain.MaxName), strings.Repeat("t", domain.MaxText)
	email := strings.Repeat("e", domain.MaxName-1) + "@"
	for what, x := range map[string]struct {
		err  error
		want []string
	}{
		"the longest party": {domain.Party{
			Name: name, Email: email, Phone: name, Address: text, Note: text,
		}.Check(), nil},
		"a longer one": {domain.Party{
			Name: name + "n", Email: email + "e", Phone: name + "n", Address: text + "t", Note: text + "t",
		}.Check(), []string{"#/name", "#/email", "#/phone", "#/address", "#/note"}},
		"a party of a name": {domain.Party{Name: "Rui"}.Check(), nil},
		"of blanks":         {domain.Party{Name: "  ", Email: "rui at home"}.Check(), []string{"#/name", "#/email"}},
		"one bench":         {domain.Station{Name: name, Count: 1}.Check(), nil},
		"a thousand": {
			domain.Station{Name: "bench", Count: 1000, Room: name}.Check(), nil,
		},
		"no bench": {domain.Station{Name: "bench", Count: 0}.Check(), []string{"#/count"}},
		"more": {
			domain.Station{Name: name + "n", Count: 1001, Room: name + "n"}.Check(),
			[]string{"#/name", "#/room", "#/count"},
		},
	} {
		if got := pointersOf(x.err); !slices.Equal(got, x.want) {
			t.Errorf("%s: got %v, want faults at %q", what, x.err, x.want)
		}
	}
}

func TestAPianoStandsOnTheFloorForTenYearsAtMost(t *testing.T) {
	t.Parallel()
	for days, want := range map[int][]string{
		-1: {"#/terms/days_on_floor"}, 0: nil, 3650: nil, 3651: {"#/terms/days_on_floor"},
	} {
		w := goodWorkshop(t)
		w.Terms.DaysOnFloor = days
		if got := pointersOf(w.Check()); !slices.Equal(got, want) {
			t.Errorf("%d days: faults at %q", days, got)
		}
	}
}

// Amounts are kept without their currency, so it stays.
func TestAWorkshopKeepsItsCurrency(t *testing.T) {
	t.Parallel()
	w := goodWorkshop(t)
	if err := w.CheckChange(w); err != nil {
		t.Errorf("nothing changed: %v", err)
	}
	changed := w
	changed.Terms.Currency = "CHF"
	wantFaults(t, changed.CheckChange(w), []string{"#/terms/currency"}, "cannot change")
	changed = w
	changed.Name = ""
	wantFaults(t, changed.CheckChange(w), []string{"#/name"}, "must be given")
}

// The bench never sees purchase prices and margins; who only looks changes nothing.
func TestTheBenchSeesNoMoney(t *testing.T) {
	t.Parallel()
	for role, want := range map[domain.Role]map[domain.Permission]bool{
		domain.Bench:      {domain.ReadShop: true, domain.WriteProgress: true, domain.ReadMoney: false},
		domain.Viewer:     {domain.ReadShop: true, domain.ReadMoney: false, domain.WriteJobs: false},
		domain.Bookkeeper: {domain.ReadMoney: true, domain.WriteBids: false},
		"visitor":         {domain.ReadShop: false},
	} {
		for p, may := range want {
			err := domain.Actor{Role: role}.Require(p)
			if may != (err == nil) || !may && domaintest.KindOf(err) != domain.Forbidden {
				t.Errorf("%s, %s: %v", role, p, err)
			}
		}
	}
}
