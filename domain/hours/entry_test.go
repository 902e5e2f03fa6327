package hours_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/hours"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

var (
	today = domaintest.JobDay
	yard  = uuid.UUID{7} // a job
)

// faultsOf returns the pointers of what is wrong.
func faultsOf(err error) []string {
	var list []string
	if f := domaintest.FaultOf(err); f != nil {
		for _, x := range f.Fields {
			list = append(list, x.Pointer)
		}
	}
	return list
}

// work returns an entry on a task.
func work(id byte, minutes int) hours.Entry {
	return hours.Entry{
		ID: uuid.UUID{id}, Person: uuid.UUID{1}, Job: yard, Operation: "ST-01", On: today,
		Minutes: minutes,
	}
}

// clocked returns an entry of all the time between two hours of the day.
func clocked(id byte, from, to int) hours.Entry {
	e := work(id, 60*(to-from))
	e.Clock = &domain.Interval{From: 60 * from, To: 60 * to}
	return e
}

func TestHoursThatCannotBeAreRefusedWithTheirField(t *testing.T) {
	t.Parallel()
	full := hours.Day{Entries: []hours.Entry{work(1, 20*60), clocked(2, 9, 12)}}
	with := func(e hours.Entry, change func(*hours.Entry)) hours.Entry {
		change(&e)
		return e
	}
	for name, c := range map[string]struct {
		e    hours.Entry
		day  hours.Day
		want []string
	}{
		"an hour":             {work(9, 60), hours.Day{}, nil},
		"the whole day":       {work(9, 24*60), hours.Day{}, nil},
		"a day of 25 hours":   {work(9, 25*60), hours.Day{}, []string{"#/hours"}},
		"the 25th hour":       {work(9, 2*60), full, []string{"#/hours"}},
		"the 24th hour":       {work(9, 60), full, nil},
		"no time at all":      {work(9, 0), hours.Day{}, []string{"#/hours"}},
		"less than no time":   {work(9, -60), hours.Day{}, []string{"#/hours"}},
		"at the same time":    {clocked(9, 11, 12), full, []string{"#/from"}},
		"one after the other": {clocked(9, 12, 13), full, nil},
		"backwards":           {clocked(9, 12, 9), hours.Day{}, []string{"#/to"}},
		"longer than from its beginning to its end": {
			with(clocked(9, 9, 10), func(e *hours.Entry) { e.Minutes = 61 }),
			hours.Day{},
			[]string{"#/hours"},
		},
		"with a break": {
			with(clocked(9, 9, 12), func(e *hours.Entry) { e.Minutes = 165 }), hours.Day{}, nil,
		},
		"tomorrow": {
			with(work(9, 60), func(e *hours.Entry) { e.On = today.AddDays(1) }),
			hours.Day{},
			[]string{"#/worked_on"},
		},
		"in an approved week": {work(9, 60), hours.Day{Approved: true}, []string{"#/correction"}},
		"corrected in an approved week": {
			with(work(9, 60), func(e *hours.Entry) { e.Correction = "forgotten" }),
			hours.Day{Approved: true},
			nil,
		},
		"on nothing": {
			with(work(9, 60), func(e *hours.Entry) { e.Job, e.Operation = uuid.Nil, "" }),
			hours.Day{},
			[]string{"#/duty"},
		},
		"on a job as a whole": {
			with(work(9, 60), func(e *hours.Entry) { e.Operation = "" }),
			hours.Day{},
			[]string{"#/operation"},
		},
		"on a task and a duty": {
			with(work(9, 60), func(e *hours.Entry) { e.Duty = hours.Training }),
			hours.Day{},
			[]string{"#/duty"},
		},
		"rework of a duty": {
			hours.Entry{On: today, Minutes: 60, Duty: hours.Upkeep, Rework: hours.NormalRework},
			hours.Day{},
			[]string{"#/rework"},
		},
		"abnormal rework without a word": {
			with(work(9, 60), func(e *hours.Entry) { e.Rework = hours.AbnormalRework }),
			hours.Day{},
			[]string{"#/note"},
		},
		"normal rework": {
			with(work(9, 60), func(e *hours.Entry) { e.Rework = hours.NormalRework }), hours.Day{}, nil,
		},
		"another duty without a word": {
			hours.Entry{On: today, Minutes: 60, Duty: hours.OtherDuty}, hours.Day{}, []string{"#/note"},
		},
		"everything at once": {
			hours.Entry{
				On: today.AddDays(2), Minutes: -1, Duty: "dreaming", Rework: "some",
			},
			hours.Day{Approved: true},
			[]string{"#/duty", "#/rework", "#/worked_on", "#/hours", "#/correction"},
		},
	} {
		if got := faultsOf(c.e.Check(c.day, "#/hours", today)); !slices.Equal(got, c.want) {
			t.Errorf("%s: faults at %q, want %q", name, got, c.want)
		}
	}
	err := work(9, 2*60).Check(full, "#/minutes", today)
	if err == nil || !strings.Contains(err.Error(), "25 h") {
		t.Errorf("got %v, want it to say what the day would come to", err)
	}
}

// What was taken back doesn't stand in the way of what is right.
func TestWhatWasTakenBackFreesItsTime(t *testing.T) {
	t.Parallel()
	wrong := clocked(1, 0, 24)
	before := hours.Day{Entries: []hours.Entry{wrong}}
	back, err := wrong.Reverse(before, 0, "#/minutes", "the day before")
	if err != nil {
		t.Fatal(err)
	}
	day := hours.Day{Entries: []hours.Entry{wrong, back}}
	if err := clocked(9, 8, 10).Check(day, "#/minutes", today); err != nil {
		t.Errorf("after all was taken back: %v", err)
	}
	if err := clocked(9, 8, 10).Check(before, "#/minutes", today); !slices.Equal(faultsOf(err), []string{"#/minutes", "#/from"}) {
		t.Errorf("before it was taken back: %v", err)
	}
}

func TestATakingBackNamesItsEntryAndSaysWhy(t *testing.T) {
	t.Parallel()
	e := work(1, 90)
	e.Rework, e.Note = hours.AbnormalRework, "dropped"
	e.Approval = uuid.UUID{5}
	day := hours.Day{Entries: []hours.Entry{e}, Approved: true}
	if _, err := e.Reverse(day, 0, "#/minutes", " "); !slices.Equal(
		faultsOf(err), []string{"#/why"},
	) {
		t.Errorf("without a word: %v", err)
	}
	if _, err := e.Reverse(day, 91, "#/minutes", "x"); !slices.Equal(
		faultsOf(err), []string{"#/minutes"},
	) {
		t.Errorf("more than was entered: %v", err)
	}
	back, err := e.Reverse(day, 30, "#/minutes", "the tea break")
	if err != nil {
		t.Fatal(err)
	}
	if back.Minutes != -30 || back.Reverses != e.ID || back.Correction != "the tea break" ||
		back.Job != e.Job || back.Operation != e.Operation || back.On != e.On ||
		back.Rework != e.Rework || back.Person != e.Person || back.Approval != uuid.Nil {
		t.Errorf("got %+v, want half an hour of %+v taken back, pending", back, e)
	}
	day.Entries = append(day.Entries, back)
	if _, err := back.Reverse(day, 0, "#/minutes", "no"); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("taken back once more: %v", err)
	}
	rest, err := e.Reverse(day, 0, "#/minutes", "all of it")
	if err != nil || rest.Minutes != -60 {
		t.Errorf("the rest: %+v, %v; want the hour that is left", rest, err)
	}
	day.Entries = append(day.Entries, rest)
	if _, err := e.Reverse(day, 1, "#/minutes", "x"); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("with nothing left: %v", err)
	}
}

// Whatever is entered and taken back, in whatever order, no entry falls below zero and no day goes
// above 24 hours.
func TestADayStaysWithinItsHoursAndNoEntryFallsBelowZero(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		var day hours.Day
		for id := range byte(rapid.IntRange(1, 40).Draw(r, "steps")) {
			minutes := rapid.IntRange(-10, 700).Draw(r, "minutes")
			if len(day.Entries) > 0 && rapid.Bool().Draw(r, "back") {
				e := rapid.SampledFrom(day.Entries).Draw(r, "entry")
				if back, err := e.Reverse(day, minutes, "#/minutes", "wrong"); err == nil {
					back.ID = uuid.UUID{id + 1}
					day.Entries = append(day.Entries, back)
				}
			} else if e := work(id+1, minutes); e.Check(day, "#/minutes", today) == nil {
				day.Entries = append(day.Entries, e)
			}
		}
		net := map[uuid.UUID]int{} // counted anew
		for _, e := range day.Entries {
			of := e.ID
			if e.Reverses != uuid.Nil {
				of = e.Reverses
			}
			net[of] += e.Minutes
		}
		total := 0
		for id, n := range net {
			if n < 0 {
				r.Fatalf("%d min are left of %v", n, id)
			}
			total += n
		}
		if total != day.Minutes() || total > 24*60 {
			r.Fatalf("the day has %d min, counted anew %d", day.Minutes(), total)
		}
	})
}
