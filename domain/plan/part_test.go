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

	"pgregory.net/rapid"
)

const newHammers = catalogue.Code("AC-06")

// rehammered returns what is left of a full restoration with new hammers, of which nothing is done.
func rehammered(t *testing.T) (*catalogue.Catalogue, plan.QueuedWork, plan.Shop, time.Time) {
	t.Helper()
	c, where := domaintest.Shipped(t), shop(t)
	j, err := job.Accept(c, domaintest.FullRestoration(t), domaintest.Grand(), domaintest.JobDay)
	if err != nil {
		t.Fatal(err)
	}
	if j.Task(newHammers) == nil {
		t.Fatal("the restoration has no new hammers")
	}
	q := job.Remaining(j, instrument.Instrument{Maker: "Aldermere"}, where.Zone)
	return c, q, where, time.Date(2026, 3, 2, 8, 0, 0, 0, where.Zone)
}

// waiting returns the work with hammers that come on the day before an instant.
func waiting(q plan.QueuedWork, from time.Time) plan.QueuedWork {
	q.Supplied = []plan.Supplied{{
		Operation: newHammers, LeadKnown: true,
		Waits: []plan.PartWait{{From: from, Why: "waits for hammers from Felt & Wire, order H-12"}},
	}}
	return q
}

// there returns the work with all hammers in stock.
func there(q plan.QueuedWork) plan.QueuedWork {
	q.Supplied = []plan.Supplied{{Operation: newHammers, LeadKnown: true}}
	return q
}

func stepOf(t *testing.T, tl plan.Timeline, code catalogue.Code) plan.Step {
	t.Helper()
	for _, s := range tl.Steps {
		if s.Operation == code {
			return s
		}
	}
	t.Fatalf("no step %s", code)
	return plan.Step{}
}

// Hammers that come eight weeks late put their task off by as much as it must be, and with it what
// waits for the task; everything else keeps its dates.
func TestATaskWaitsForItsPartsAndEverythingElseGoesOn(t *testing.T) {
	t.Parallel()
	c, q, where, at := rehammered(t)
	free := plan.EarliestDates(t, c, there(q), where, at)
	could := stepOf(t, free, newHammers)
	// the Monday after eight weeks, as the shop opens
	late := domain.DateOf(could.Start).AddDays(56)
	late = late.AddDays((8 - int(late.In(where.Zone).Weekday())) % 7)
	held := plan.EarliestDates(t, c, waiting(q, late.In(where.Zone)), where, at)
	if got := domain.DateOf(stepOf(t, held, newHammers).Start); got != late {
		t.Errorf("the hammers are put on from %s, want %s", got, late)
	}
	follows := map[catalogue.Code]bool{newHammers: true}
	for i, s := range held.Steps {
		was := free.Steps[i]
		if s.Start.Equal(was.Start) {
			continue
		}
		follows[s.Operation] = true
		if s.Start.Before(late.In(where.Zone)) {
			t.Errorf("%s moved from %s to %s, though the hammers hadn't come", s.Operation, was.Start,
				s.Start)
		}
	}
	if follows["CS-03"] || follows["KY-01"] || !follows["VO-01"] || !follows["RG-01"] {
		t.Errorf("these moved: %v; want case and keys to go on, regulation and voicing to wait", follows)
	}
	why := ""
	for _, s := range held.Path {
		if s.Operation == newHammers {
			why = s.Why
		}
	}
	if !strings.Contains(why, "hammers from Felt & Wire, order H-12") {
		t.Errorf("the ready date rests on %+v, want the part named", held.Path)
	}
}

func TestPartsThatAreThereAreWaitedForByNobody(t *testing.T) {
	t.Parallel()
	c, q, where, at := rehammered(t)
	lead := plan.EarliestDates(t, c, q, where, at)
	stocked := plan.EarliestDates(t, c, there(q), where, at)
	was, now := stepOf(t, lead, newHammers).Start, stepOf(t, stocked, newHammers).Start
	if weeks := was.Sub(now).Hours() / 24 / 7; weeks < 5 || weeks > 7 {
		t.Errorf("from stock they are put on %.1f weeks sooner than by the lead time of six", weeks)
	}
	q.Supplied = []plan.Supplied{{Operation: newHammers}} // of which the hammers are no part
	if got := plan.EarliestDates(t, c, q, where, at); !got.Ready.Equal(lead.Ready) {
		t.Errorf("stock doesn't speak of the hammers, and yet ready moved from %s to %s", lead.Ready,
			got.Ready)
	}
	past := plan.EarliestDates(t, c, waiting(q, at.AddDate(0, 0, -3)), where, at)
	if !past.Ready.Equal(stocked.Ready) {
		t.Errorf("ready at %s though all has come, %s from stock", past.Ready, stocked.Ready)
	}
}

// Nobody orders hammers before the action is apart: what isn't ordered takes its time from then.
func TestWhatIsNotOrderedIsOrderedOnceItIsKnownWhatToOrder(t *testing.T) {
	t.Parallel()
	c, q, where, at := rehammered(t)
	q = waiting(q, at)
	q.Supplied[0].Waits[0].LeadDays, q.Supplied[0].Waits[0].Item = 30, "hammers"
	tl := plan.EarliestDates(t, c, q, where, at)
	apart, on := stepOf(t, tl, "AC-01"), stepOf(t, tl, newHammers)
	if days := on.Start.Sub(apart.Finish).Hours() / 24; days < 30 || days > 34 {
		t.Errorf("put on %.1f days after the action is apart, want 30 and no more than a weekend", days)
	}
}

func TestAPartThatComesLaterNeverFinishesTheJobEarlier(t *testing.T) {
	t.Parallel()
	c, q, where, at := rehammered(t)
	codes := []catalogue.Code{}
	for _, l := range q.Scope.Lines {
		codes = append(codes, l.Operation)
	}
	rapid.Check(t, func(rt *rapid.T) {
		later := q
		sooner := q
		sooner.Supplied, later.Supplied = nil, nil
		for _, code := range rapid.SliceOfNDistinct(
			rapid.SampledFrom(codes), 1, 6, func(c catalogue.Code) catalogue.Code { return c },
		).Draw(rt, "tasks") {
			hour := rapid.IntRange(0, 24*400).Draw(rt, "comes")
			more := rapid.IntRange(0, 24*100).Draw(rt, "late")
			lead := rapid.IntRange(0, 60).Draw(rt, "lead")
			wait := func(hours int) plan.Supplied {
				return plan.Supplied{Operation: code, LeadKnown: true, Waits: []plan.PartWait{{
					From: at.Add(time.Duration(hours) * time.Hour), Why: "waits", LeadDays: lead,
				}}}
			}
			sooner.Supplied = append(sooner.Supplied, wait(hour))
			later.Supplied = append(later.Supplied, wait(hour+more))
		}
		a := plan.EarliestDates(t, c, sooner, where, at)
		b := plan.EarliestDates(t, c, later, where, at)
		for i := range a.Steps {
			if b.Steps[i].Start.Before(a.Steps[i].Start) {
				rt.Fatalf("%s starts at %s, and at %s with parts that come later", a.Steps[i].Operation,
					a.Steps[i].Start, b.Steps[i].Start)
			}
		}
		if b.Ready.Before(a.Ready) {
			rt.Fatalf("ready at %s, and at %s with parts that come later", a.Ready, b.Ready)
		}
	})
}
