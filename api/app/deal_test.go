package app_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// bidOn computes a bid to buy an instrument as it is found, at one depth.
func (s shop) bidOn(i, surveyID uuid.UUID) app.WorkedBid {
	s.Helper()
	b, err := s.app.WorkOutBid(s.Context(), s.who, app.BidRequest{
		Instrument: i, Survey: surveyID,
		Asked: bid.Question{Ways: []bid.Way{
			{Depth: catalogue.AsFound, SalePrice: decimal.NewFromInt(4000)},
		}},
	})
	s.ok(err)
	return b
}

// offered adds a sound instrument on offer, with a survey that looked at every point.
func (s shop) offered() (instrument.Instrument, survey.Survey) {
	s.Helper()
	i, err := s.app.AddInstrument(s.Context(), s.who, someInstrument())
	s.ok(err)
	no, nothing := false, decimal.Zero // nothing that can stop the purchase
	v, err := s.app.TakeSurvey(s.Context(), s.who, survey.Survey{
		Instrument: i.Value.ID, TakenOn: domain.DateOf(morning), Findings: []survey.Finding{
			{Point: "SV-29", Flag: &no},
			{Point: "SV-42", Answer: "plastic"},
			{Point: "SV-53", Value: &nothing},
			{Point: "SV-54", Value: &nothing},
			{Point: "SV-55", Flag: &no},
			{Point: "SV-61", Answer: "none"},
			{Point: "SV-63", Value: &nothing},
		},
	})
	s.ok(err)
	return i.Value, v.Value
}

func TestAStepMovesTheInstrumentAndTheLastOneEndsTheNegotiation(t *testing.T) {
	t.Parallel()
	amount := decimal.NewFromInt(300)
	for _, c := range []struct {
		kind  bid.OfferKind
		owner instrument.Ownership
		state instrument.State
		ends  bool
	}{
		{bid.WeOffered, instrument.Offered, instrument.Considered, false},
		{bid.Countered, instrument.Offered, instrument.Considered, false},
		{bid.Refused, instrument.Offered, instrument.Considered, false},
		{bid.Lost, instrument.Offered, instrument.LetGo, true},
		{bid.Bought, instrument.Stock, instrument.Waiting, true},
	} {
		t.Run(string(c.kind), func(t *testing.T) {
			t.Parallel()
			s := openShop(t)
			i, v := s.offered()
			b := s.bidOn(i.ID, v.ID)
			step := bid.Offer{Bid: b.ID, Kind: c.kind, Amount: &amount, Reason: "a friend's"}
			if c.kind == bid.Refused {
				step.Amount = nil
			}
			if c.kind == bid.Bought {
				step.StockNumber = "K-7"
			}
			made, err := s.app.RecordOffer(t.Context(), s.who, step)
			s.ok(err)
			if made.On != domain.DateOf(morning) || made.Depth != catalogue.AsFound ||
				made.By != s.who.User {
				t.Errorf("got %+v, want it dated today, at the bid's only depth, with who recorded it", made)
			}
			now := s.instrument(i.ID).Value
			if now.Owner != c.owner || now.State != c.state || now.StockNumber != step.StockNumber {
				t.Errorf("the instrument is %s, %s, %q; want %s and %s", now.Owner, now.State,
					now.StockNumber, c.owner, c.state)
			}
			_, err = s.app.RecordOffer(t.Context(), s.who, bid.Offer{
				Bid: b.ID, Kind: bid.Countered, Amount: &amount,
			})
			if over := faultKind(err) == domain.Conflict; over != c.ends || !over && err != nil {
				t.Errorf("another step: got %v, want the negotiation over: %v", err, c.ends)
			}
		})
	}
}

func TestAnInstrumentIsBoughtOnceUnderANumberOfItsOwn(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	i, v := s.offered()
	first, second := s.bidOn(i.ID, v.ID), s.bidOn(i.ID, v.ID)
	ours := someInstrument()
	ours.Owner, ours.StockNumber, ours.Maker = instrument.Stock, "K-118", "Aldermere"
	_, err := s.app.AddInstrument(ctx, s.who, ours)
	s.ok(err)
	buy := func(b app.WorkedBid, number string) error {
		amount := decimal.NewFromInt(300)
		_, err := s.app.RecordOffer(ctx, s.who, bid.Offer{
			Bid: b.ID, Kind: bid.Bought, Amount: &amount, StockNumber: number, Reason: "a friend's",
		})
		return err
	}
	before := effects(t, s.app, s.who)
	if err := buy(first, "K-118"); faultKind(err) != domain.Conflict ||
		!strings.Contains(err.Error(), "Aldermere") {
		t.Errorf("under another's number: got %v, want a conflict that names it", err)
	}
	wantEffects(t, s.app, s.who, before)
	s.ok(buy(first, "K-119"))
	if err := buy(second, "K-120"); faultKind(err) != domain.Conflict {
		t.Errorf("by another bid: got %v, want a conflict, since it is ours", err)
	}
	if got := s.instrument(i.ID).Value.StockNumber; got != "K-119" {
		t.Errorf("it has the number %s, want K-119", got)
	}

	other, theirs := s.offered()
	third := s.bidOn(other.ID, theirs.ID)
	other.Owner = instrument.Client // its owner brings it in for work instead
	_, err = s.app.ChangeInstrument(ctx, s.who, other, 1)
	s.ok(err)
	if err := buy(third, "K-121"); faultKind(err) != domain.Conflict {
		t.Errorf("what is no longer on offer: got %v, want a conflict", err)
	}
	if got := s.instrument(other.ID).Value; got.Owner != instrument.Client || got.StockNumber != "" {
		t.Errorf("it is owned by %s under the number %q, want the client's still", got.Owner,
			got.StockNumber)
	}
}

func TestABidIsOfOneInstrumentItsSurveyAndItsScopes(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	i, v := s.offered()
	other, theirs := s.offered()
	mine, err := s.app.DrawScope(t.Context(), s.who, postgres.ScopeRecord{
		Instrument: i.ID, Survey: v.ID, Depth: catalogue.Recondition, Edits: anEdit,
	})
	s.ok(err)
	elsewhere := s.scopeOf(other.ID, theirs.ID)
	request := func(survey, scope uuid.UUID, depth catalogue.Depth) app.BidRequest {
		return app.BidRequest{
			Instrument: i.ID, Survey: survey, Scopes: []uuid.UUID{uuid.Nil, scope},
			Asked: bid.Question{Ways: []bid.Way{
				{Depth: catalogue.AsFound, SalePrice: decimal.NewFromInt(2000)},
				{Depth: depth, SalePrice: decimal.NewFromInt(9000)},
			}},
		}
	}
	for _, c := range []struct {
		name string
		q    app.BidRequest
		want domain.FaultKind
		at   []string
	}{
		{
			"another's survey", request(theirs.ID, mine.Value.ID, catalogue.Recondition),
			domain.Invalid,
			[]string{"#/survey"},
		},
		{
			"another's scope", request(v.ID, elsewhere, catalogue.Recondition),
			domain.Invalid,
			[]string{"#/ways/1/scope"},
		},
		{
			"a scope at another depth", request(v.ID, mine.Value.ID, catalogue.Restore),
			domain.Invalid,
			[]string{"#/ways/1/scope"},
		},
		{
			"a scope that there isn't", request(v.ID, uuid.Max, catalogue.Recondition),
			domain.NotFound, nil,
		},
	} {
		_, err := s.app.WorkOutBid(t.Context(), s.who, c.q)
		if faultKind(err) != c.want || !slices.Equal(pointers(err), c.at) {
			t.Errorf("%s: got %v at %v, want %s at %v", c.name, err, pointers(err), c.want, c.at)
		}
	}
	b, err := s.app.WorkOutBid(t.Context(), s.who, request(v.ID, mine.Value.ID, catalogue.Recondition))
	s.ok(err)
	if len(b.Inputs.Asked.Ways[0].Edits) != 0 || len(b.Inputs.Asked.Ways[1].Edits) != 1 {
		t.Errorf("got the ways %+v, want the scope's edit in the second", b.Inputs.Asked.Ways)
	}
	stored, err := s.app.Bid(t.Context(), s.who, b.ID)
	s.ok(err)
	if string(stored.Result.Canonical()) != string(b.Result.Canonical()) {
		t.Error("the bid is read back differently from how it was computed")
	}
}

func TestACopiedScopeTakesWhatAppliesAndSaysWhatDoesNot(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	s := openShop(t)
	i, v := s.offered()
	earlier, err := s.app.DrawScope(ctx, s.who, postgres.ScopeRecord{
		Instrument: i.ID, Survey: v.ID, Depth: catalogue.Restore, Edits: anEdit,
	})
	s.ok(err)
	_, err = s.app.EditCatalogue(ctx, s.who, []catalogue.Change{{
		Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "heavy",
	}}, "", 1)
	s.ok(err)
	other, theirs := s.offered()
	record := postgres.ScopeRecord{Instrument: other.ID, Survey: theirs.ID}
	copied, err := s.app.CopyScope(ctx, s.who, record, earlier.Value.ID)
	s.ok(err)
	if d := copied.Value; d.Depth != catalogue.Restore || d.Revision != 2 ||
		d.Instrument.ID != other.ID ||
		len(d.Edits) != 1 || len(copied.Left) != 0 {
		t.Errorf("got %s at revision %d with the edits %+v, left %+v", d.Depth, d.Revision, d.Edits,
			copied.Left)
	}
	record.Depth = catalogue.AsFound
	shallow, err := s.app.CopyScope(ctx, s.who, record, earlier.Value.ID)
	s.ok(err)
	if shallow.Value.Depth != catalogue.AsFound {
		t.Errorf("asked for as found, got %s", shallow.Value.Depth)
	}
	before := effects(t, s.app, s.who)
	if _, err := s.app.CopyScope(
		ctx, s.who, record, uuid.Max,
	); !slices.Equal(pointers(err), []string{"#/copy_from"}) {
		t.Errorf("from a scope that there isn't: got %v, want a fault at #/copy_from", err)
	}
	record.Survey = v.ID
	if _, err := s.app.CopyScope(
		ctx, s.who, record, earlier.Value.ID,
	); !slices.Equal(pointers(err), []string{"#/survey"}) {
		t.Errorf("with another's survey: got %v, want a fault at #/survey", err)
	}
	wantEffects(t, s.app, s.who, before)
}

// The bench compares work and dates, and sees no money.
func TestMoneyIsComparedForWhoMaySeeIt(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	i, v := s.offered()
	here, there := s.scopeOf(i.ID, v.ID), s.scopeOf(i.ID, v.ID)
	for _, role := range domain.Roles {
		who := s.who
		who.Role = role
		c, err := s.app.CompareScopes(t.Context(), who, here, there)
		s.ok(err)
		sees := role != domain.Bench && role != domain.Viewer
		if (c.Here.Costs != nil) != sees || (c.There.Costs != nil) != sees {
			t.Errorf("%s is shown %+v and %+v, want costs: %v", role, c.Here.Costs, c.There.Costs, sees)
		}
		if !c.Here.PlannedHours.IsPositive() || c.Here.Dates.Queued.Ready.IsZero() {
			t.Errorf("%s is shown no hours or dates", role)
		}
	}
}
