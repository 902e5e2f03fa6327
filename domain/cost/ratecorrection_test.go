package cost_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/cost"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var euro = money.MustCurrency("EUR")

func march(day int) domain.Date { return domain.Date{Year: 2026, Month: 3, Day: day} }

func jobNo(n byte) uuid.UUID { return uuid.UUID{15: n} }

func charged(job byte, kind cost.Kind, minutes int, rate string, on domain.Date) cost.Charged {
	return cost.Charged{
		Entry: uuid.UUID{0: job, 15: byte(on.Day)}, Instrument: uuid.UUID{0: 1, 15: job}, Job: jobNo(job),
		Kind: kind, Purpose: cost.Work, On: on, PostedOn: on.AddDays(2), Minutes: minutes,
		Rate: decimal.RequireFromString(rate),
	}
}

func toTwenty(cost.Charged) (decimal.Decimal, error) { return decimal.NewFromInt(20), nil }

// Entries of 90, 30, 120 and 60 min were charged at 18.00 an hour, and 20.00 is right: 3.00, 1.00,
// 4.00 and 2.00 more. Each job gets one line of each day, since the day says on whose piano it was
// worked. A line counts on the first open day.
func TestACorrectionOfRatesIsOneLineOfEachJobAndDay(t *testing.T) {
	t.Parallel()
	april := march(31).AddDays(1)
	c := cost.RateCorrection{ID: uuid.Max, From: march(1), Through: march(31), Why: "the rent went up"}
	all := []cost.Charged{
		charged(1, cost.Overhead, 90, "18", march(2)), charged(1, cost.Overhead, 30, "18", march(2)),
		charged(1, cost.Overhead, 120, "18", march(9)),
		charged(2, cost.Overhead, 60, "18", march(3)), charged(2, cost.Labour, 60, "20", march(3)),
		charged(2, cost.Overhead, 0, "18", march(4)), // taken back
	}
	for _, x := range []struct {
		closed               books.Books
		first, second, third domain.Date
	}{
		{books.Books{}, march(4), march(11), march(5)},
		{books.Books{ClosedThrough: march(8)}, march(9), march(11), march(9)},
		{books.Books{ClosedThrough: march(31)}, april, april, april},
	} {
		made, lines, err := c.Correct(all, toTwenty, x.closed, euro)
		if err != nil || len(made.Changes) != 4 || len(lines) != 3 {
			t.Fatalf("%d entries changed, lines %+v, %v", len(made.Changes), lines, err)
		}
		for i, want := range []struct {
			job        byte
			amount     string
			on, posted domain.Date
		}{
			{1, "4.00 EUR", march(2), x.first},
			{1, "4.00 EUR", march(9), x.second},
			{2, "2.00 EUR", march(3), x.third},
		} {
			l := lines[i]
			if l.Amount != money.MustParse(want.amount) || l.On != want.on || l.PostedOn != want.posted ||
				l.SourceID != c.ID || l.Job != jobNo(want.job) || l.Kind != cost.Overhead || l.Minutes != 0 {
				t.Errorf("closed through %s: line %+v, want %+v", x.closed.ClosedThrough, l, want)
			}
		}
	}
}

func TestACorrectionThatChangesNothingIsRefused(t *testing.T) {
	t.Parallel()
	var f *domain.Fault
	c := cost.RateCorrection{From: march(1), Through: march(31), Why: "the rent went up"}
	_, _, err := c.Correct(
		[]cost.Charged{charged(1, cost.Overhead, 90, "20.00", march(2))}, toTwenty, books.Books{}, euro,
	)
	if !errors.As(err, &f) || f.Kind != domain.Conflict {
		t.Errorf("got %v, want a conflict", err)
	}
	for pointer, c := range map[string]cost.RateCorrection{
		"#/from":    {From: march(31), Through: march(31), Why: "why"},
		"#/through": {From: march(9), Through: march(2), Why: "why"},
		"#/why":     {From: march(1), Through: march(2), Why: " "},
	} {
		err := c.Check(march(12))
		if !errors.As(err, &f) || !strings.HasPrefix(f.Fields[0].Pointer, pointer) {
			t.Errorf("%+v: got %v, want a fault at %s", c, err, pointer)
		}
	}
}

// Whatever is corrected, and in however many steps, an entry then costs what its minutes do at the
// last rate, to the cent; so nothing is left once all of it is taken back at that rate.
func TestAfterCorrectionsAnEntryCostsWhatItDoesAtTheLastRate(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Custom(func(t *rapid.T) decimal.Decimal {
			return decimal.New(rapid.Int64Range(0, 900_000).Draw(t, "rate"), -4)
		})
		minutes := rapid.IntRange(1, 1440).Draw(t, "minutes")
		now := rate.Draw(t, "first")
		posted, err := cost.OfMinutes(minutes, now, euro)
		if err != nil {
			t.Fatal(err)
		}
		for range rapid.IntRange(0, 4).Draw(t, "corrections") {
			next := rate.Draw(t, "next")
			x := charged(1, cost.Labour, minutes, now.String(), march(2))
			_, lines, err := cost.RateCorrection{}.Correct([]cost.Charged{x}, func(cost.Charged) (
				decimal.Decimal, error,
			) {
				return next, nil
			}, books.Books{}, euro)
			for _, l := range lines {
				posted = posted.Add(l.Amount)
			}
			if (err == nil) != !next.Equal(now) {
				t.Fatalf("from %s to %s: %v", now, next, err)
			}
			now = next
		}
		want, err := cost.OfMinutes(minutes, now, euro)
		if err != nil || posted != want {
			t.Fatalf("%d min at %s cost %s, want %s: %v", minutes, now, posted, want, err)
		}
	})
}
