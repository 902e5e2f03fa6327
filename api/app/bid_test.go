package app_test

import (
	"log/slog"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// told is an app with the demo story in it, and the story.
func told(t *testing.T) (*app.App, toldStory) {
	t.Helper()
	store, err := postgres.Open(t.Context(), pgtest.New(t).Service, 4)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(store.Close)
	clock, err := demo.Clock(func() time.Duration { return 0 })
	if err != nil {
		t.Fatal(err)
	}
	a := app.New(store, clock, slog.New(slog.DiscardHandler))
	story, err := demo.Tell(t.Context(), a, func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	return a, toldStory{Story: story, Store: store}
}

// toldStory is the story with the store that it was told to.
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
	if _, err := a.AddFinding(ctx, s.Owner, s.Survey.ID, domain.Finding{Point: "SV-35", Value: &soundHammers}); err != nil {
		t.Fatal(err)
	}
	got, err := a.RecomputeBid(ctx, s.Owner, s.Bid.ID)
	if err != nil {
		t.Fatal(err)
	}
	if !got.Same || got.Now != s.Bid.Bid.Result {
		t.Errorf("the stored bid comes to %x now, was %x", got.Now, s.Bid.Bid.Result)
	}
	again, err := a.WorkOutBid(ctx, s.Owner, app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: s.Bid.Inputs.Asked})
	if err != nil {
		t.Fatal(err)
	}
	if again.Bid.Result == s.Bid.Bid.Result {
		t.Error("a new bid after the edits came to the same result: the edits changed nothing, so the check above proves nothing")
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
		t.Errorf("the scope's costs moved from %v to %v when the catalogue was revised", before.Costs.Total, after.Costs.Total)
	}
	fresh, err := a.DrawScope(ctx, s.Owner, postgres.Decision{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Depth: catalogue.Restore})
	if err != nil {
		t.Fatal(err)
	}
	_, dearer, err := a.Estimate(ctx, s.Owner, fresh.Value.ID)
	if err != nil {
		t.Fatal(err)
	}
	if dearer.Costs.Materials.Likely.Cmp(before.Costs.Materials.Likely) <= 0 {
		t.Errorf("a new scope costs %v in materials, not more than %v: the revision changed nothing", dearer.Costs.Materials.Likely, before.Costs.Materials.Likely)
	}
}

func TestAStopForbidsABidUntilANamedPersonHasClearedIt(t *testing.T) {
	t.Parallel()
	a, s := told(t)
	asked := s.Bid.Inputs.Asked
	asked.Cleared = nil
	b, err := a.WorkOutBid(t.Context(), s.Owner, app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: asked})
	if err != nil {
		t.Fatal(err)
	}
	for _, w := range b.Result.Ways {
		if w.Outcome != domain.Stopped || w.Why == "" {
			t.Errorf("%s: %s %q for ivory that nobody has cleared; want it stopped, with the reason", w.Depth, w.Outcome, w.Why)
		}
	}
	asked.Cleared = []domain.Clearance{{Point: "SV-42"}}
	_, err = a.WorkOutBid(t.Context(), s.Owner, app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: asked})
	if err == nil {
		t.Error("a clearance without a name and a reason was accepted")
	}
}

// A bid that engine 1 made is shown as it was, and working it out again says
// that the engine is another one.
func TestABidOfAnEarlierEngineIsShownAndItsRecomputationSaysSo(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	inputs := s.Bid.Inputs
	inputs.Engine = "1"
	old := s.Bid.Bid
	old.ID, old.Engine = uuid.New(), "1"
	result := s.Bid.Result
	result.Ways = slices.Clone(result.Ways)
	for i := range result.Ways {
		result.Ways[i].Negotiation, result.Ways[i].Sale = nil, nil
	}
	err := s.Store.Write(ctx, s.Owner, time.Now(), func(tx *postgres.Tx) (err error) {
		if old.Inputs, err = tx.KeepDocument(ctx, inputs.Canonical()); err != nil {
			return err
		}
		if old.Result, err = tx.KeepDocument(ctx, result.Canonical()); err != nil {
			return err
		}
		return tx.AddBid(ctx, old)
	})
	if err != nil {
		t.Fatal(err)
	}
	shown, err := a.Bid(ctx, s.Owner, old.ID)
	if err != nil || shown.Result.Ways[0].Negotiation != nil || shown.Engine != "1" {
		t.Errorf("shown as engine %s with the negotiation %+v, %v", shown.Engine, shown.Result.Ways[0].Negotiation, err)
	}
	got, err := a.RecomputeBid(ctx, s.Owner, old.ID)
	if err != nil || got.Same || got.Engine != domain.Engine || !strings.Contains(got.Says, "engine 1") {
		t.Errorf("got %+v, %v; want another result, and the engines named", got, err)
	}
}
