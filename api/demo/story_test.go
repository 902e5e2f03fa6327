package demo_test

import (
	"bytes"
	"flag"
	"log/slog"
	"os"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func tell(t *testing.T) demo.Story {
	t.Helper()
	ctx := t.Context()
	store, err := postgres.Open(ctx, pgtest.New(t).Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	clock, err := demo.Clock(func() time.Duration { return 0 })
	if err != nil {
		t.Fatal(err)
	}
	s, err := demo.Tell(ctx, app.New(store, clock, slog.New(slog.DiscardHandler)), func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The printed story is a document that a buyer reads, so it is kept whole.
func TestTheStoryPrintsTheSameEveryTime(t *testing.T) {
	t.Parallel()
	var got bytes.Buffer
	if err := tell(t).Print(&got); err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/story.txt"
	if *update {
		if err := os.WriteFile(golden, got.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatalf("%v; write it with -update", err)
	}
	if !bytes.Equal(got.Bytes(), want) {
		t.Errorf("the story has changed; if it should have, write it anew with -update and read the difference. Got:\n%s", got.String())
	}
}

// The buyer took the hammers for soft; on a second look they are sound. Nothing
// else changes, so less work is called for: at no depth more hours, a later day
// or a lower price to walk away at, and at reconditioning fewer, an earlier and
// a higher one.
func TestSoundHammersInsteadOfSoftOnesMoveHoursDateAndPriceTheRightWay(t *testing.T) {
	t.Parallel()
	s := tell(t)
	for i, first := range s.Bid.Result.Ways {
		second := s.Second.Bid.Result.Ways[i]
		hours := second.Estimate.Hours.Likely.Cmp(first.Estimate.Hours.Likely)
		date := second.Dates.Queued.Ready.Compare(first.Dates.Queued.Ready)
		price := walkAway(second).Cmp(walkAway(first))
		if hours > 0 || date > 0 || price < 0 {
			t.Errorf("%s: hours %+d, date %+d, price %+d against the first look", first.Depth, hours, date, price)
		}
		if first.Depth == catalogue.Recondition && (hours == 0 || date == 0 || price == 0) {
			t.Errorf("reconditioning: hours %+d, date %+d, price %+d, want all three to move", hours, date, price)
		}
	}
}

// Leave takes hands away and nothing else: no work is called for that wasn't, none
// is ready sooner, and a price that is paid for longer is no higher.
func TestLeaveOfTheTunerMovesDatesAndPriceOnly(t *testing.T) {
	t.Parallel()
	s := tell(t)
	moved := 0
	for i, first := range s.Bid.Result.Ways {
		away := s.Leave.Bid.Result.Ways[i]
		date := away.Dates.Queued.Ready.Compare(first.Dates.Queued.Ready)
		if !away.Estimate.Hours.Likely.Equal(first.Estimate.Hours.Likely) || date < 0 || walkAway(away).Cmp(walkAway(first)) > 0 {
			t.Errorf("%s: %s hours, ready %s, at most %s; before %s, %s and %s", first.Depth,
				away.Estimate.Hours.Likely, away.Dates.Queued.Ready, walkAway(away),
				first.Estimate.Hours.Likely, first.Dates.Queued.Ready, walkAway(first))
		}
		moved += date
		for _, step := range away.Dates.Queued.Steps {
			if step.Operation == "TU-01" && step.Start.Month() == time.May && step.Start.Day() >= 4 && step.Start.Day() <= 15 {
				t.Errorf("%s is tuned on %s, while the one tuner is away", first.Depth, step.Start)
			}
		}
	}
	if moved == 0 {
		t.Error("two weeks of leave of the one tuner moved no date")
	}
}

// walkAway is the price to walk away at; nothing where even a gift is a loss.
func walkAway(w domain.WayResult) decimal.Decimal {
	if w.Negotiation.WalkAway == nil {
		return decimal.Zero
	}
	return w.Negotiation.WalkAway.Price.Decimal()
}
