package supply_test

import (
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
	"bentside/domain/stock"
	"bentside/domain/supply"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

var (
	hammers, felt = uuid.UUID{1}, uuid.UUID{2}
	first, second = uuid.UUID{11}, uuid.UUID{12} // jobs, in the order of the queue
	monday        = domain.Date{Year: 2026, Month: time.March, Day: 2}
)

// bench is a shop that keeps hammers and felt, with nothing in stock and nothing on order.
func bench() supply.Sources {
	return supply.Sources{
		Parts: map[uuid.UUID]stock.Part{
			hammers: {ID: hammers, Name: "hammers", Supplier: uuid.UUID{5}},
			felt:    {ID: felt, Name: "key felt"},
		},
		Held: map[uuid.UUID]decimal.Decimal{},
	}
}

// set is the need of a set of hammers for a job, which the catalogue gives six weeks.
func set(job uuid.UUID) []supply.TaskNeed {
	n := supply.Need{Part: hammers, Job: job, Operation: "AC-06", Units: domaintest.Dec("88")}
	return []supply.TaskNeed{{Need: n, OfLead: true, LeadDays: 42}}
}

// line is a line of an order of hammers that was placed on monday and is due on a day.
func line(job uuid.UUID, units, delivered string, due domain.Date) supply.AwaitedLine {
	l := supply.AwaitedLine{
		Order: uuid.UUID{21}, Reference: "H-12", Supplier: uuid.UUID{5}, SupplierName: "Felt & Wire",
		OrderedOn: monday, First: due, Expected: due,
	}
	l.Number, l.Part, l.Job = 1, hammers, job
	l.Units, l.Delivered = domaintest.Dec(units), domaintest.Dec(delivered)
	if job != uuid.Nil {
		l.Operation = "AC-06"
	}
	return l
}

// awaited returns what the task of a job waits for on a day, when the first and then the second job
// want a set each.
func awaited(t *testing.T, s supply.Sources, job uuid.UUID, today domain.Date) plan.Supplied {
	t.Helper()
	list := s.Await(map[uuid.UUID][]supply.TaskNeed{first: set(first), second: set(second)},
		[]uuid.UUID{first, second}, today, time.UTC)[job]
	if len(list) != 1 || list[0].Operation != "AC-06" || !list[0].LeadKnown {
		t.Fatalf("got %+v, want one task whose lead time is known", list)
	}
	return list[0]
}

// wantWait checks that a task waits for one thing, from the morning after a day, and says so.
func wantWait(t *testing.T, s plan.Supplied, comes domain.Date, says ...string) {
	t.Helper()
	if len(s.Waits) != 1 {
		t.Fatalf("waits for %+v, want one thing", s.Waits)
	}
	w := s.Waits[0]
	if want := comes.AddDays(1).In(time.UTC); !w.From.Equal(want) {
		t.Errorf("waits until %s, want %s", w.From, want)
	}
	for _, text := range says {
		if !strings.Contains(w.Why, text) {
			t.Errorf("%q doesn't say %q", w.Why, text)
		}
	}
}

func TestASetInStockIsWaitedForByNobodyAndGoesToTheFirstJobOfTheQueue(t *testing.T) {
	t.Parallel()
	s := bench()
	s.Held[hammers] = domaintest.Dec("88")
	if got := awaited(t, s, first, monday); len(got.Waits) > 0 {
		t.Errorf("a set is there, and yet it waits for %+v", got.Waits)
	}
	wantWait(t, awaited(t, s, second, monday), monday.AddDays(42), "hammers", "isn't ordered",
		"6 weeks", "by the catalogue")
}

func TestAnOrderMadeForAJobIsWaitedForByThatJobAlone(t *testing.T) {
	t.Parallel()
	s, due := bench(), monday.AddDays(18)
	s.Held[hammers] = domaintest.Dec("88")
	s.Lines = []supply.AwaitedLine{line(first, "88", "0", due)}
	wantWait(t, awaited(t, s, first, monday), due, "hammers from Felt & Wire", "order H-12",
		"due 2026-03-20")
	if got := awaited(t, s, second, monday); len(got.Waits) > 0 {
		t.Errorf("the set in stock is free for it, and yet it waits for %+v", got.Waits)
	}
}

func TestAnOrderForStockGoesToTheJobsInTheOrderOfTheQueueAndTheSoonestFirst(t *testing.T) {
	t.Parallel()
	s := bench()
	late := line(uuid.Nil, "88", "0", monday.AddDays(40))
	late.Order = uuid.UUID{22}
	s.Lines = []supply.AwaitedLine{late, line(uuid.Nil, "88", "0", monday.AddDays(9))}
	wantWait(t, awaited(t, s, first, monday), monday.AddDays(9))
	wantWait(t, awaited(t, s, second, monday), monday.AddDays(40))
}

func TestADayThatTheSupplierPutsOffIsSaidWithTheDayBefore(t *testing.T) {
	t.Parallel()
	s := bench()
	l := line(first, "88", "0", monday.AddDays(1))
	l.Expected = l.First.AddDays(56)
	s.Lines = []supply.AwaitedLine{l}
	wantWait(t, awaited(t, s, first, monday), l.Expected, "due 2026-03-03", "now 2026-04-28",
		"8 weeks late")
}

// An order that is overdue comes tomorrow at the earliest, and not before the latest usual day of
// the supplier where that is known.
func TestAnOverdueOrderIsCountedOnForTomorrowOrTheLatestUsualDay(t *testing.T) {
	t.Parallel()
	s, due := bench(), monday.AddDays(18)
	s.Lines = []supply.AwaitedLine{line(first, "88", "0", due)}
	wantWait(t, awaited(t, s, first, due), due)
	today := due.AddDays(7)
	wantWait(t, awaited(t, s, first, today), today.AddDays(1), "1 week overdue")
	lead := supply.LearnLeadTime(uuid.UUID{5}, []int{20, 30, 60})
	s.Leads = map[uuid.UUID][]supply.LeadTime{hammers: {lead}}
	wantWait(t, awaited(t, s, first, today), monday.AddDays(60), "1 week overdue")
	today = monday.AddDays(70)
	wantWait(t, awaited(t, s, first, today), today.AddDays(1))
	s.Lines[0].Expected = today.AddDays(3)
	wantWait(t, awaited(t, s, first, today), today.AddDays(3))
}

func TestWhatNobodyHasOrderedTakesTheTimeThatDeliveriesTaughtElseTheCatalogues(t *testing.T) {
	t.Parallel()
	s := bench()
	wantWait(t, awaited(t, s, first, monday), monday.AddDays(42), "by the catalogue")
	lead := supply.LearnLeadTime(uuid.UUID{5}, []int{20, 30, 60})
	s.Leads = map[uuid.UUID][]supply.LeadTime{hammers: {lead}}
	got := awaited(t, s, first, monday)
	wantWait(t, got, monday.AddDays(30), "30 days", "learnt from 3 deliveries")
	if got.Waits[0].LeadDays != 30 {
		t.Errorf("takes %d days from its order, want 30", got.Waits[0].LeadDays)
	}
	glue := supply.TaskNeed{Need: supply.Need{
		Part: felt, Job: first, Operation: "KY-01", Units: domaintest.Dec("1"),
	}}
	list := s.Await(map[uuid.UUID][]supply.TaskNeed{first: {glue}}, []uuid.UUID{first}, monday,
		time.UTC)[first]
	if len(list) != 1 || len(list[0].Waits) > 0 || list[0].LeadKnown {
		t.Errorf("no lead time is known of felt, and yet %+v", list)
	}
}

// 60 of 88 have come. A task that calls for 60 has got what it needs, one that calls for 88 waits
// for the rest.
func TestWhatHasComeEndsTheWaitOnceItCoversTheNeed(t *testing.T) {
	t.Parallel()
	for left, waits := range map[string]int{"0": 0, "28": 1} {
		s, n := bench(), set(first)
		s.Lines = []supply.AwaitedLine{line(first, "88", "60", monday.AddDays(18))}
		n[0].Units = domaintest.Dec(left)
		list := s.Await(map[uuid.UUID][]supply.TaskNeed{first: n}, []uuid.UUID{first}, monday,
			time.UTC)[first]
		if len(list) != 1 || len(list[0].Waits) != waits {
			t.Errorf("%s are left to want: %+v, want %d waits", left, list, waits)
		}
	}
}

func TestALineMadeForATaskIsWaitedForThoughThePartNamesNoMaterial(t *testing.T) {
	t.Parallel()
	s, due := bench(), monday.AddDays(18)
	s.Lines = []supply.AwaitedLine{line(first, "88", "0", due)}
	await := func() []plan.Supplied {
		return s.Await(nil, []uuid.UUID{first}, monday, time.UTC)[first]
	}
	wantWait(t, await()[0], due)
	s.Lines[0].Delivered = domaintest.Dec("88")
	if got := await(); len(got) != 1 || len(got[0].Waits) > 0 || !got[0].LeadKnown {
		t.Errorf("it has come, and yet %+v", got)
	}
	s.Lines[0].Delivered, s.Lines[0].Cancelled = decimal.Zero, domaintest.Dec("88")
	if got := await(); len(got) > 0 {
		t.Errorf("it was cancelled, so that stock and orders say nothing, and yet %+v", got)
	}
}
