package demo_test

import (
	"bytes"
	"flag"
	"io"
	"log/slog"
	"os"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/shopspring/decimal"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func tell(t *testing.T) demo.Story {
	t.Helper()
	s, _ := tellWith(t)
	return s
}

// tellWith returns the story with the service that it was told through.
func tellWith(t *testing.T) (demo.Story, *app.App) {
	t.Helper()
	s, a, _ := tellOn(t)
	return s, a
}

// tellOn is tellWith with the clock of the story.
func tellOn(t *testing.T) (demo.Story, *app.App, *demo.Clock) {
	t.Helper()
	ctx := t.Context()
	store, err := postgres.Open(ctx, pgtest.New(t).Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	clock, err := demo.NewClock()
	if err != nil {
		t.Fatal(err)
	}
	a, quietly := app.New(store, clock.Now, slog.New(slog.DiscardHandler)), func(string) {}
	s, err := demo.Tell(ctx, a, quietly)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Buy(ctx, a, quietly); err != nil {
		t.Fatal(err)
	}
	return s, a, clock
}

// The sheet and the printed story are documents that a buyer reads, so they are kept whole.
func TestTheStoryPrintsTheSameEveryTime(t *testing.T) {
	t.Parallel()
	story, a, clock := tellOn(t)
	if err := story.Live(t.Context(), a, clock, func(string) {}); err != nil {
		t.Fatal(err)
	}
	wantLived(t, story.Life)
	for _, text := range []struct {
		golden string
		print  func(io.Writer) error
	}{
		{"testdata/sheet.txt", story.PrintSheet},
		{"testdata/story.txt", story.Print},
		{"testdata/life.txt", story.PrintLife},
	} {
		var got bytes.Buffer
		if err := text.print(&got); err != nil {
			t.Fatal(err)
		}
		if *update {
			if err := os.WriteFile(text.golden, got.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(text.golden)
		if err != nil {
			t.Fatalf("%v; write it with -update", err)
		}
		if !bytes.Equal(got.Bytes(), want) {
			t.Errorf("%s has changed; if it should have, write it anew with -update and read the "+
				"difference. Got:\n%s", text.golden, got.String())
		}
	}
}

// The buyer thought the hammers soft; on a second look they are sound. Nothing else changes, so
// there is less to do: no depth takes more hours, is ready later or can pay less, and
// reconditioning takes fewer hours, is ready earlier and can pay more.
func TestSoundHammersInsteadOfSoftOnesMoveHoursDateAndPriceTheRightWay(t *testing.T) {
	t.Parallel()
	s := tell(t)
	for i, first := range s.Bid.Result.Ways {
		second := s.Second.Bid.Result.Ways[i]
		hours := second.Estimate.Hours.Likely.Cmp(first.Estimate.Hours.Likely)
		date := second.Dates.Queued.Ready.Compare(first.Dates.Queued.Ready)
		price := walkAway(second).Cmp(walkAway(first))
		if hours > 0 || date > 0 || price < 0 {
			t.Errorf(
				"%s: hours %+d, date %+d, price %+d against the first look", first.Depth, hours,
				date, price,
			)
		}
		if first.Depth == catalogue.Recondition && (hours == 0 || date == 0 || price == 0) {
			t.Errorf(
				"reconditioning: hours %+d, date %+d, price %+d, want all three to move", hours,
				date, price,
			)
		}
	}
}

// Leave takes hands away and nothing else: the work stays the same, nothing is ready sooner, and a
// piano that ties up money for longer is worth no more.
func TestLeaveOfTheTunerMovesDatesAndPriceOnly(t *testing.T) {
	t.Parallel()
	s := tell(t)
	moved := 0
	for i, first := range s.Bid.Result.Ways {
		away := s.Leave.Bid.Result.Ways[i]
		date := away.Dates.Queued.Ready.Compare(first.Dates.Queued.Ready)
		if !away.Estimate.Hours.Likely.Equal(first.Estimate.Hours.Likely) || date < 0 ||
			walkAway(away).Cmp(walkAway(first)) > 0 {
			t.Errorf("%s: %s hours, ready %s, at most %s; before %s, %s and %s", first.Depth,
				away.Estimate.Hours.Likely, away.Dates.Queued.Ready, walkAway(away),
				first.Estimate.Hours.Likely, first.Dates.Queued.Ready, walkAway(first))
		}
		moved += date
		for _, step := range away.Dates.Queued.Steps {
			if step.Operation == "TU-01" && step.Start.Month() == time.May &&
				step.Start.Day() >= 4 && step.Start.Day() <= 15 {
				t.Errorf("%s is tuned on %s, while the only tuner is away", first.Depth, step.Start)
			}
		}
	}
	if moved == 0 {
		t.Error("two weeks of leave of the only tuner moved no date")
	}
}

// walkAway returns the price to walk away above, or zero if even a gift is a loss.
func walkAway(w bid.WayResult) decimal.Decimal {
	if w.Negotiation.WalkAway == nil {
		return decimal.Zero
	}
	return w.Negotiation.WalkAway.Price.Decimal()
}

// The seller's certificate frees the purchase and, through it, the work; before the piano is
// offered its new owner needs papers of his own.
func TestTheGrandIsBoughtWithItsPapersAndGoesOnToWork(t *testing.T) {
	t.Parallel()
	p := tell(t).Purchase
	if p.Instrument.Owner != instrument.Stock || p.Job.Tasks[0].Open() {
		t.Errorf("it is %s, and %s is open: %v", p.Instrument.Owner, p.Job.Tasks[0].Operation,
			p.Job.Tasks[0].Open())
	}
	if got := p.Stops.Barring(catalogue.ToWork, catalogue.ToMove); len(got) > 0 {
		t.Errorf("the work is stopped by %+v", got)
	}
	if got := p.Stops.Barring(catalogue.ToOffer); len(got) != 1 || got[0].Lapsed == nil {
		t.Errorf("to offer it is barred by %+v, want papers of our own asked for", got)
	}
}
