package app_test

import (
	"slices"
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestAProposalSaysWhatItIsAboutAndWhoSeesMoneyNamesThePrice(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, _ := s.clientsJob()
	price := decimal.NewFromInt(40)
	bench := s.who
	bench.Role = domain.Bench
	before := effects(t, s.app, s.who)
	for _, c := range []struct {
		name     string
		who      app.Actor
		proposal app.NewProposal
		want     domain.FaultKind
		at       []string
	}{
		{
			"a price by the bench", bench,
			app.NewProposal{Job: j.ID, Says: "dearer", Price: &price},
			domain.Forbidden, nil,
		},
		{
			"nothing new", s.who,
			app.NewProposal{Job: j.ID, Says: "well"},
			domain.Invalid,
			[]string{"#"},
		},
		{
			"the depth it has", s.who,
			app.NewProposal{Job: j.ID, Says: "well", Depth: catalogue.Recondition},
			domain.Invalid,
			[]string{"#"},
		},
		{
			"a finding of no survey", s.who,
			app.NewProposal{Job: j.ID, Says: "found before", Recorded: []uuid.UUID{uuid.Max}},
			domain.Invalid,
			[]string{"#/recorded/0"},
		},
		{
			"an answer by yesterday", s.who, app.NewProposal{
				Job: j.ID, Says: "dearer", Price: &price, AnswerBy: domain.DateOf(morning).AddDays(-1),
			}, domain.Invalid, []string{"#/answer_by"},
		},
		{
			"a price beyond any amount", s.who, app.NewProposal{
				Job: j.ID, Says: "dearer", Price: ptr(dec("1e30")),
			}, domain.Invalid, []string{"#/price/amount"},
		},
	} {
		_, err := s.app.Propose(t.Context(), c.who, c.proposal)
		if faultKind(err) != c.want || !slices.Equal(pointers(err), c.at) {
			t.Errorf("%s: got %v at %v, want %s at %v", c.name, err, pointers(err), c.want, c.at)
		}
	}
	wantEffects(t, s.app, s.who, before)
	if _, err := s.app.Propose(t.Context(), bench, loosePins(j.ID)); err != nil {
		t.Errorf("what the bench has found: %v", err)
	}
}

// Costs are skewed, so a price on the likely cost would lose money over many variations.
func TestAVariationIsPricedOnItsExpectedCost(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, _ := s.clientsJob()
	p, err := s.app.Propose(t.Context(), s.who, loosePins(j.ID))
	s.ok(err)
	w, err := s.app.Read(t.Context(), s.who).Workshop(t.Context())
	s.ok(err)
	cost := p.Change.Effect.Cost
	if cost.Expected.Cmp(cost.Likely) <= 0 {
		t.Fatalf("the expected cost %s isn't above the likely %s", cost.Expected, cost.Likely)
	}
	want, err := job.VariationPrice(cost.Expected, w.Value.Terms)
	s.ok(err)
	if p.Price.Cmp(want) != 0 || p.Price.Cmp(cost.Expected) <= 0 {
		t.Errorf("priced at %s, want %s: the expected cost %s and the share", p.Price, want, cost.Expected)
	}
}

// A client agreed to the work: less of it isn't ours to decide, whatever it saves them.
func TestAgreedWorkIsLeftOutWithTheClientsWordOnly(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, client := s.clientsJob()
	shallower := app.NewProposal{Job: j.ID, Says: "less will do", Depth: catalogue.AsFound}
	yes := job.Decision{Accepted: true, Reason: "cheaper"}
	for _, limit := range []string{"", "100.00 EUR"} {
		if limit != "" {
			_, err := s.app.AgreeLimit(t.Context(), s.who, j.ID, job.SpendingLimit{
				Limit: money.MustParse(limit), Party: client.ID, AgreedOn: domain.DateOf(morning),
				How: "by letter",
			})
			s.ok(err)
		}
		p, err := s.app.Propose(t.Context(), s.who, shallower)
		s.ok(err)
		if len(p.Change.Removed) == 0 || p.Price.Sign() >= 0 || !p.NeedsConsent {
			t.Fatalf("limit %q: %d operations go for %s, consent needed: %t; want it needed", limit,
				len(p.Change.Removed), p.Price, p.NeedsConsent)
		}
		if _, err := s.app.Decide(
			t.Context(), s.who, j.ID, p.ID, yes,
		); faultKind(err) != domain.Conflict {
			t.Errorf("limit %q, without a word: got %v, want a conflict", limit, err)
		}
	}
	now, err := s.app.Read(t.Context(), s.who).Job(t.Context(), j.ID)
	s.ok(err)
	if len(now.Value.Work().Lines) != len(j.Work().Lines) {
		t.Errorf("the job holds %d operations, want its %d", len(now.Value.Work().Lines), len(j.Work().Lines))
	}
}

func TestARefusedVariationEndsTheHoldAndChangesNoTask(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, _ := s.clientsJob()
	p, err := s.app.Propose(t.Context(), s.who, loosePins(j.ID))
	s.ok(err)
	if p.Hold == uuid.Nil || !p.NeedsConsent {
		t.Fatalf("got %+v, want the job on hold until the client answers", p)
	}
	again, err := s.app.Propose(t.Context(), s.who, app.NewProposal{
		Job: j.ID, Says: "sharps are chipped",
		Edits: []scope.Edit{{Kind: scope.AddOperation, Operation: "KY-05", Why: "chipped"}},
	})
	s.ok(err)
	if again.Hold != uuid.Nil {
		t.Error("a second proposal holds a job that is on hold already")
	}
	if _, err := s.app.Decide(
		t.Context(), s.who, j.ID, again.ID, job.Decision{Reason: "too dear"},
	); err != nil {
		t.Fatal(err)
	}
	held, err := s.app.Read(t.Context(), s.who).Job(t.Context(), j.ID)
	s.ok(err)
	if held.Value.State != job.Held {
		t.Errorf("the job is %s, want it held for the first proposal", held.Value.State)
	}
	decided, err := s.app.Decide(
		t.Context(), s.who, j.ID, p.ID, job.Decision{Reason: "the client declines"},
	)
	s.ok(err)
	free, err := s.app.Read(t.Context(), s.who).Job(t.Context(), j.ID)
	s.ok(err)
	if free.Value.State != job.Open || len(free.Value.Suspensions) != 0 ||
		len(free.Value.Tasks) != len(j.Tasks) {
		t.Errorf("the job is %s with %d tasks, want it open with %d", free.Value.State,
			len(free.Value.Tasks), len(j.Tasks))
	}
	if d := decided.Decision; d.DecidedBy != s.who.User || !d.DecidedAt.Equal(morning) ||
		decided.NeedsConsent {
		t.Errorf("got %+v, want the decision with who took it and when", decided)
	}
}

func TestALimitIsAgreedWithAClientAndTheLastOneCounts(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	j, client := s.clientsJob()
	limit := func(amount string) job.SpendingLimit {
		return job.SpendingLimit{
			Limit: money.MustParse(amount), Party: client.ID, AgreedOn: domain.DateOf(morning),
			How: "by letter",
		}
	}
	stock := someInstrument()
	stock.Owner = instrument.Stock
	ours := accepted(t, s.app, s.who, drawnUp(t, s.app, s.who, stock))
	if _, err := s.app.AgreeLimit(
		t.Context(), s.who, ours.ID, limit("50.00 EUR"),
	); faultKind(err) != domain.Conflict {
		t.Errorf("for a piano of our own: got %v, want a conflict", err)
	}
	unsaid := limit("50.00 EUR")
	unsaid.How = ""
	if _, err := s.app.AgreeLimit(
		t.Context(), s.who, j.ID, unsaid,
	); !slices.Equal(pointers(err), []string{"#/how"}) {
		t.Errorf("without saying how: got %v, want a fault at #/how", err)
	}
	price := decimal.NewFromInt(40)
	for _, c := range []struct {
		limit string
		needs bool
	}{{"", true}, {"50.00 EUR", false}, {"39.99 EUR", true}} {
		if c.limit != "" {
			_, err := s.app.AgreeLimit(t.Context(), s.who, j.ID, limit(c.limit))
			s.ok(err)
		}
		p, err := s.app.Propose(
			t.Context(), s.who, app.NewProposal{Job: j.ID, Says: "dearer", Price: &price},
		)
		s.ok(err)
		if p.NeedsConsent != c.needs {
			t.Errorf("40.00 below the limit %q needs consent: %v, want %v", c.limit, p.NeedsConsent, c.needs)
		}
	}
}
