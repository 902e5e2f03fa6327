package cost_test

import (
	"fmt"
	"strings"
	"testing"

	"bentside/domain/books"
	"bentside/domain/cost"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"

	"github.com/google/uuid"
)

// stands returns how a piano stands that was ours, was sold on the margin today and came back.
func stands() cost.Stands {
	i := domaintest.Grand()
	i.ID, i.Owner, i.State = uuid.UUID{1}, instrument.Stock, instrument.Ready
	return cost.Stands{Instrument: i, Currency: eur, Today: today.AddDays(20)}
}

// bought returns the record of its purchase.
func bought() *cost.Document {
	return &cost.Document{
		Kind: cost.Purchased, Amount: euros("1000.00"), Tax: euros("0.00"), On: today,
		PostedOn: today,
	}
}

func wantFault(t *testing.T, err error, what, says string) {
	t.Helper()
	if (says == "") != (err == nil) || err != nil && !strings.Contains(err.Error(), says) {
		t.Errorf("%s: %v, want a fault that says %q", what, err, says)
	}
}

// An instrument is bought no later than it is sold.
func TestAPurchaseIsNoLaterThanTheSale(t *testing.T) {
	t.Parallel()
	price := euros("1000.00")
	for days, says := range map[int]string{0: "", 1: "the day of its sale"} {
		s := stands()
		s.SoldOn = today
		_, _, err := cost.Purchase{
			Document: cost.Document{On: today.AddDays(days)}, Price: &price,
		}.Buy(s, nil, false)
		wantFault(t, err, "bought afterwards", says)
	}
}

// The purchase that the tax of a sale rests on stays.
func TestThePurchaseThatATaxRestsOnIsntTakenBack(t *testing.T) {
	t.Parallel()
	s := stands()
	s.Of = bought()
	s.SoldOn = today
	for marginTaxed, says := range map[bool]string{true: "rests on this purchase", false: ""} {
		s.MarginTaxed = marginTaxed
		_, _, err := cost.Reverse(uuid.UUID{9}, "entered twice", s, nil)
		wantFault(t, err, "taken back", says)
	}
}

// What is taken back counts with what it takes back, or what is entered in its place would stand
// beside it until today. Where those books are closed, it counts on the first open day.
func TestAReversalCountsWithWhatItReverses(t *testing.T) {
	t.Parallel()
	for closed, want := range map[int]int{-1: 0, 3: 4} {
		s := stands()
		s.Of = bought()
		s.Books = books.Books{ClosedThrough: today.AddDays(closed)}
		line := cost.Line{SourceID: s.Of.ID, Amount: euros("1000.00"), On: today, PostedOn: today}
		d, back, err := cost.Reverse(uuid.UUID{9}, "entered twice", s, []cost.Line{line})
		if err != nil {
			t.Fatal(err)
		}
		if d.On != today || d.PostedOn != today.AddDays(want) {
			t.Errorf("of %s, counts on %s; want %s and %d days later", d.On, d.PostedOn, today, want)
		}
		if l := back[0]; l.On != today || l.PostedOn != d.PostedOn || l.Amount != euros("-1000.00") {
			t.Errorf("takes back %+v", l)
		}
	}
}

// So does that of an instrument which was taken in part payment, while that sale counts.
func TestThePurchaseOfAPartExchangeIsntTakenBack(t *testing.T) {
	t.Parallel()
	s := stands()
	s.Of = bought()
	s.ExchangedOn = today
	_, _, err := cost.Reverse(uuid.UUID{9}, "entered twice", s, nil)
	wantFault(t, err, "taken back", "part payment")
}

// A bill for what came before an instrument was lost is taken as any late bill; what takes place
// later doesn't cost it anything, but for what we bore all the same.
func TestALateBillOfALostInstrumentIsTaken(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		days    int
		purpose cost.Purpose
		says    string
	}{
		{4, cost.Acquisition, ""},
		{5, cost.Work, ""},
		{6, cost.Work, "has left us"},
		{6, cost.Acquisition, "has left us"},
		{6, cost.Storage, ""},
	} {
		s := stands()
		s.Instrument.Owner, s.Instrument.State = instrument.Stock, instrument.Gone
		s.LostOn, s.Today = today.AddDays(5), today.AddDays(9)
		_, _, err := cost.OtherDraft{Kind: cost.Other, Document: cost.Document{
			Purpose: c.purpose, Amount: euros("33.00"), On: today.AddDays(c.days), Note: "so",
		}}.Enter(s)
		wantFault(t, err, fmt.Sprintf("%s on day %d", c.purpose, c.days), c.says)
	}
}

// What may be entered for a day on which the piano was its buyer's: no work on our stock, whether
// it is still away or back, but what came before, and what we bore for the buyer.
func TestWhatMayBeEnteredOfTheTimeAtABuyers(t *testing.T) {
	t.Parallel()
	away := []cost.Spell{{LeftOn: today.AddDays(5)}}
	back := []cost.Spell{{LeftOn: today.AddDays(5), BackOn: today.AddDays(9)}}
	for _, c := range []struct {
		spells  []cost.Spell
		days    int
		purpose cost.Purpose
		says    string
	}{
		{away, 5, cost.Work, ""},
		{away, 6, cost.Work, "has left us"},
		{away, 6, cost.Acquisition, "has left us"},
		{away, 6, cost.Warranty, ""},
		{back, 5, cost.Work, ""},
		{back, 6, cost.Work, "was its buyer's"},
		{back, 8, cost.Rework, "was its buyer's"},
		{back, 8, cost.Warranty, ""},
		{back, 8, cost.Acquisition, ""},
		{back, 9, cost.Work, ""},
	} {
		s := stands()
		s.Theirs = c.spells
		if c.spells[0].BackOn.IsZero() {
			s.Instrument.Owner, s.Instrument.State, s.SoldOn = instrument.Client, instrument.Gone, today
		}
		_, _, err := cost.OtherDraft{Kind: cost.Other, Document: cost.Document{
			Purpose: c.purpose, Amount: euros("10.00"), On: today.AddDays(c.days), Note: "so",
		}}.Enter(s)
		wantFault(t, err, fmt.Sprintf("%s on day %d", c.purpose, c.days), c.says)
	}
}
