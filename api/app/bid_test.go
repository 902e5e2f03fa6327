package app_test

import (
	"errors"
	"log/slog"
	"reflect"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// told returns an app whose store holds the demo story, and the story.
func told(t *testing.T) (*app.App, toldStory) {
	t.Helper()
	return toldBy(t, func() time.Duration { return 0 })
}

// toldBy is told with a clock that shows the story's morning plus since().
func toldBy(t *testing.T, since func() time.Duration) (*app.App, toldStory) {
	t.Helper()
	store, err := postgres.Open(t.Context(), pgtest.New(t).Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	clock, err := demo.NewClock()
	if err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return clock.Now().Add(since()) }
	a := app.New(store, now, slog.New(slog.DiscardHandler))
	story, err := demo.Tell(t.Context(), a, func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	return a, toldStory{Story: story, Store: store}
}

// toldStory is the demo story with the store that holds it.
type toldStory struct {
	demo.Story
	Store *postgres.Store
}

func TestAStoredBidRecomputesByteForByteAfterEverythingWasEdited(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	editCatalogue(t, a, s)
	editWorkshop(t, a, s)
	soundHammers := decimal.Zero
	if _, err := a.AddFinding(
		ctx, s.Owner, s.Survey.ID, survey.Finding{Point: "SV-35", Value: &soundHammers},
	); err != nil {
		t.Fatal(err)
	}
	got, err := a.RecomputeBid(ctx, s.Owner, s.Bid.ID)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Same || got.Now != s.Bid.Bid.Result {
		t.Errorf("the stored bid comes to %x now, was %x", got.Now, s.Bid.Bid.Result)
	}
	again, err := a.WorkOutBid(
		ctx, s.Owner,
		app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: s.Bid.Inputs.Asked},
	)
	if err != nil {
		t.Fatal(err)
	}
	if again.Bid.Result == s.Bid.Bid.Result {
		t.Error(
			"a new bid after the edits came to the same result: the edits changed nothing, so the check above proves nothing",
		)
	}
}

// editCatalogue makes a revision in which every plain price is doubled.
func editCatalogue(t *testing.T, a *app.App, s toldStory) {
	t.Helper()
	rev, err := a.Catalogue(t.Context(), s.Owner)
	if err != nil {
		t.Fatal(err)
	}
	dearer := rev.Catalogue.InCurrency(rev.Catalogue.Currency, decimal.NewFromInt(2))
	now, err := a.ReviseCatalogue(t.Context(), s.Owner, dearer, "prices doubled", rev.Number)
	if err != nil {
		t.Fatal(err)
	}
	if now.Number != rev.Number+1 {
		t.Errorf("revision %d after %d", now.Number, rev.Number)
	}
}

func editWorkshop(t *testing.T, a *app.App, s toldStory) {
	t.Helper()
	w, err := a.Read(t.Context(), s.Owner).Workshop(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	w.Value.Terms.OverheadRate = w.Value.Terms.OverheadRate.Mul(decimal.NewFromInt(3))
	if _, err := a.ChangeWorkshop(t.Context(), s.Owner, w.Value, w.Version); err != nil {
		t.Fatal(err)
	}
}

func TestAScopeStaysWithTheCatalogueThatItPins(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	scope := s.Scopes[2]
	_, before, err := a.Estimate(ctx, s.Owner, scope.ID)
	if err != nil {
		t.Fatal(err)
	}
	editCatalogue(t, a, s)
	_, after, err := a.Estimate(ctx, s.Owner, scope.ID)
	if err != nil {
		t.Fatal(err)
	}
	if before.Costs != after.Costs {
		t.Errorf(
			"the scope's costs moved from %v to %v when the catalogue was revised",
			before.Costs.Total, after.Costs.Total,
		)
	}
	fresh, err := a.DrawScope(
		ctx, s.Owner,
		postgres.ScopeRecord{
			Instrument: s.Candidate.ID, Survey: s.Survey.ID, Depth: catalogue.Restore,
		},
	)
	if err != nil {
		t.Fatal(err)
	}
	_, dearer, err := a.Estimate(ctx, s.Owner, fresh.Value.ID)
	if err != nil {
		t.Fatal(err)
	}
	if dearer.Costs.Materials.Likely.Cmp(before.Costs.Materials.Likely) <= 0 {
		t.Errorf(
			"a new scope costs %v in materials, not more than %v: the revision changed nothing",
			dearer.Costs.Materials.Likely, before.Costs.Materials.Likely,
		)
	}
}

// The story's grand has the seller's certificate. Once that is withdrawn, a new bid names no price,
// and the old one, which does, can't be acted upon.
func TestAStopTakesEveryPriceOutOfABid(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	cleared, err := a.Read(ctx, s.Owner).Clearances(ctx, s.Candidate.ID, postgres.Whole)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := a.Clear(ctx, s.Owner, clearance.Clearance{
		Instrument: s.Candidate.ID, Stop: cleared[0].Stop, By: "M. Kielbach",
		Says: "it is another piano's", Withdraws: cleared[0].ID,
	}); err != nil {
		t.Fatal(err)
	}
	b, err := a.WorkOutBid(ctx, s.Owner, app.BidRequest{
		Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: s.Bid.Inputs.Asked,
	})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range b.Result.Ways {
		if w.Outcome != bid.Stopped || w.Why == "" || w.Negotiation != nil || w.AtAsked != nil ||
			!reflect.ValueOf(w.Advice).IsZero() {
			t.Errorf("%s: %s %q with prices, want it stopped without any", w.Depth, w.Outcome, w.Why)
		}
		if w.Sale == nil || w.Estimate.Costs.Total.Likely.IsZero() {
			t.Errorf("%s: what it costs and what it sells for is gone too", w.Depth)
		}
	}
	price := s.Bid.Result.Ways[2].AtAsked.Price.Decimal()
	_, err = a.RecordOffer(ctx, s.Owner, bid.Offer{
		Bid: s.Bid.ID, Kind: bid.WeOffered, Depth: catalogue.Restore, Amount: &price,
	})
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Conflict || len(f.Chain) != 1 {
		t.Errorf("an offer by the bid of before: got %v, want it refused with the stop", err)
	}
}
