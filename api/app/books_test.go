package app_test

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/cost"
	"bentside/pricing/money"
)

// turn closes the books through a day of the last two weeks, or opens some of what is closed.
func (c *costs) turn(r *rand.Rand) error {
	day := domain.DateOf(morning).AddDays(-1 - r.IntN(14))
	if r.IntN(3) > 0 {
		_, err := c.CloseBooks(c.Context(), c.who, books.Closing{Through: day})
		return err
	}
	now, err := c.Books(c.Context(), c.who)
	if err != nil {
		return err
	}
	_, err = c.ReopenBooks(c.Context(), c.who, books.Closing{
		From: day, Through: now.ClosedThrough, Note: "a bill was left out",
	})
	return err
}

// Five hands work and close and reopen the books at once, at random and with much that is refused.
// The feed stands in the order of the commits, and nothing in it counts on a day that was closed by
// then. At the end of each day what is in progress is what the lines say one by one, and the
// difference is explained.
func TestNothingCountsOnADayThatIsClosedWhoeverWorks(t *testing.T) {
	t.Parallel()
	const hands = 5
	each := 40
	if testing.Short() {
		each = 15
	}
	a, db := opened(t, hands, atMorning)
	c := costsOf(t, a, founded(t, a))
	var refused atomic.Int64
	var wg sync.WaitGroup
	for hand := range hands {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(uint64(hand), 50))
			for range each {
				act := c.event
				if r.IntN(6) == 0 {
					act = c.turn
				}
				switch err := act(r); faultKind(err) {
				case domain.Conflict, domain.Invalid:
					refused.Add(1)
				default:
					if err != nil {
						t.Errorf("refused with %v", err)
					}
				}
			}
		})
	}
	wg.Wait()
	if refused.Load() == 0 {
		t.Error("nothing was refused")
	}
	c.wantPostedInTheOpen()
	wantCostsOfRecords(t, db)
	c.wantAgreement()
	c.wantReconciled()
	c.wantClosedDaysToStand()
}

// postings are the days that an event tells of.
type postings struct {
	On            *domain.Date `json:"on"`
	PostedOn      *domain.Date `json:"posted_on"`
	ClosedThrough *domain.Date `json:"closed_through"`
	From          *domain.Date `json:"from"`
	Through       *domain.Date `json:"through"`
	Lines         []postings   `json:"lines"`
}

// wantPostedInTheOpen reads the feed in the order of the commits.
func (c *costs) wantPostedInTheOpen() {
	c.Helper()
	events, err := c.Read(c.Context(), c.who).Events(c.Context(), 0, 10_000)
	if err != nil {
		c.Fatal(err)
	}
	var now books.Books
	var posted, late, turns int
	for _, e := range events {
		var p postings
		if err := json.Unmarshal(e.Data, &p); err != nil {
			continue // lines of another form
		}
		if e.Kind == domain.BooksClosed && (now.ClosedThrough.IsZero() != (p.From == nil) ||
			p.From != nil && *p.From != now.PostingDay()) {
			c.Errorf("closed from %v, after %s", p.From, now.ClosedThrough)
		}
		if e.Kind == domain.BooksReopened && *p.Through != now.ClosedThrough {
			c.Errorf("reopened through %s, after %s", p.Through, now.ClosedThrough)
		}
		if p.ClosedThrough != nil {
			now.ClosedThrough = *p.ClosedThrough
			turns++
			continue
		}
		for _, x := range append(p.Lines, p) {
			if x.PostedOn == nil {
				continue
			}
			posted++
			if !now.IsOpen(*x.PostedOn) {
				c.Errorf("%s at %d counts on %s, closed through %s", e.Kind, e.Position, x.PostedOn,
					now.ClosedThrough)
			}
			if x.On != nil && *x.On != *x.PostedOn {
				late++
			}
		}
	}
	if turns < 3 || posted < 20 || late < 5 {
		c.Errorf("%d turns of the books, %d postings, %d of them late: too few to tell", turns, posted,
			late)
	}
}

// wantReconciled compares each day's work in progress with a sum over all lines, one by one.
func (c *costs) wantReconciled() {
	c.Helper()
	var lines []cost.Line
	for _, j := range c.jobs {
		of, err := c.Read(c.Context(), c.who).JobCostLines(c.Context(), j.ID, postgres.Whole)
		if err != nil {
			c.Fatal(err)
		}
		lines = append(lines, of...)
	}
	differed := false
	for back := range 18 {
		day := domain.DateOf(morning).AddDays(-back)
		w, err := c.WorkInProgress(c.Context(), c.who, day)
		if err != nil {
			c.Fatal(err)
		}
		posted, known, late := money.Zero(w.Currency), money.Zero(w.Currency), money.Zero(w.Currency)
		for _, l := range lines {
			if !l.Inventory() {
				continue
			}
			if l.PostedOn.Compare(day) <= 0 {
				posted = posted.Add(l.Amount)
			}
			if l.On.Compare(day) <= 0 {
				known = known.Add(l.Amount)
			}
			if l.PostedOn.Compare(l.On) < 0 {
				c.Errorf("a line of %s counts on %s", l.On, l.PostedOn)
			}
		}
		for _, l := range w.LateLines {
			late = late.Add(l.Amount)
			if l.On.Compare(day) > 0 || l.PostedOn.Compare(day) <= 0 {
				c.Errorf("%s: a line of %s that counts on %s is late", day, l.On, l.PostedOn)
			}
		}
		if w.Posted != posted || w.Known != known || w.Late != late ||
			w.Difference() != late || len(w.OneWay) != 0 {
			c.Errorf("%s: %s posted, %s known, %s late; the lines say %s, %s and %s", day, w.Posted,
				w.Known, w.Late, posted, known, late)
		}
		differed = differed || !late.IsZero()
	}
	if !differed {
		c.Error("on no day was more known than posted")
	}
}

// wantClosedDaysToStand closes the books, works on, and looks at the closed days again.
func (c *costs) wantClosedDaysToStand() {
	c.Helper()
	now, err := c.Books(c.Context(), c.who)
	if err != nil {
		c.Fatal(err)
	}
	closed := domain.DateOf(morning).AddDays(-1)
	if now.IsOpen(closed) {
		if _, err := c.CloseBooks(c.Context(), c.who, books.Closing{Through: closed}); err != nil {
			c.Fatal(err)
		}
	}
	seen := func() (all string) {
		for back := range 12 {
			w, err := c.WorkInProgress(c.Context(), c.who, closed.AddDays(-back))
			if err != nil {
				c.Fatal(err)
			}
			all += fmt.Sprintf("%s %s\n", w.On, w.Posted)
		}
		return all
	}
	before, r := seen(), rand.New(rand.NewPCG(5, 50))
	taken := 0
	for range 20 {
		if err := c.event(r); err == nil {
			taken++
		}
	}
	if after := seen(); after != before || taken == 0 {
		c.Errorf("%d events changed closed days from\n%sto\n%s", taken, before, after)
	}
}

// A document of a closed day counts on the first open one, and so does its reversal; both took
// place on the day of the document. Where that has been closed since, the reversal counts after it.
func TestALateDocumentCountsOnTheFirstOpenDayAndItsReversalWithIt(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	who := founded(t, a)
	j := accepted(t, a, who, drawnUp(t, a, who, ownPiano()))
	today := domain.DateOf(morning)
	enter := func(on domain.Date) cost.Document {
		d, err := a.RecordOtherCost(t.Context(), who, cost.OtherDraft{
			Kind: cost.Other, Document: cost.Document{
				Instrument: j.Instrument, Purpose: cost.Work, On: on, Note: "a hired jack",
				Amount: money.MustParse("60.00 EUR"),
			},
		})
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	_, err := a.CloseBooks(t.Context(), who, books.Closing{Through: today.AddDays(-5)})
	if err != nil {
		t.Fatal(err)
	}
	late := enter(today.AddDays(-9))
	if late.PostedOn != today.AddDays(-4) || late.On != today.AddDays(-9) {
		t.Errorf("of %s it counts on %s", late.On, late.PostedOn)
	}
	later := enter(today.AddDays(-8))
	back, err := a.ReverseCost(t.Context(), who, late.ID, "another piano")
	if err != nil || back.On != late.On || back.PostedOn != late.PostedOn {
		t.Errorf("taken back of %s on %s: %v", back.On, back.PostedOn, err)
	}
	_, err = a.CloseBooks(t.Context(), who, books.Closing{Through: today.AddDays(-2)})
	if err != nil {
		t.Fatal(err)
	}
	back, err = a.ReverseCost(t.Context(), who, later.ID, "another piano")
	if err != nil || back.On != later.On || back.PostedOn != today.AddDays(-1) {
		t.Errorf("taken back after the closing of %s on %s: %v", back.On, back.PostedOn, err)
	}
}
