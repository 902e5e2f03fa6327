package demo

import (
	"context"
	"fmt"
	"slices"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/domain/sheet"
	"bentside/domain/survey"
)

// Story is the outcome of the story, with what is needed to go on from there.
type Story struct {
	Workshop  domain.Workshop
	Owner     app.Actor
	Token     string
	Candidate instrument.Instrument
	Survey    survey.Survey
	Scopes    []app.DrawnScope // of the candidate, one at each depth
	Choices   app.ScopeChoices // of the last of Scopes
	Bid       app.WorkedBid
	Sheet     sheet.Sheet    // of Bid
	Second    WhatIf         // the hammers are sound
	Leave     WhatIf         // the tuner is away
	Purchase  *Purchase      // nil before Buy
	Life      *Life          // nil before Live
	question  app.BidRequest // answered by Bid
	diary     *diary
}

// Tell tells the story up to the bid and calls say with a line for each step.
func Tell(ctx context.Context, a *app.App, say func(string)) (Story, error) {
	say("creating the workshop and its catalogue")
	s := Story{Workshop: workshop()}
	owner, err := a.CreateWorkshop(
		ctx,
		app.WorkshopDraft{Workshop: s.Workshop, OwnerName: "Mathilde Kielbach", PriceRate: pricesInEuro},
	)
	if err != nil {
		return s, fmt.Errorf("create the workshop: %w", err)
	}
	s.Owner = owner
	if err := equip(ctx, a, owner); err != nil {
		return s, fmt.Errorf("equip the workshop: %w", err)
	}
	entered, err := openDiary(ctx, a, owner)
	if err != nil {
		return s, fmt.Errorf("read the crew: %w", err)
	}
	s.diary = entered
	for _, j := range inProgress {
		say(fmt.Sprintf("starting work on %s %s", j.instrument.StockNumber, j.instrument.Maker))
		if err := startWork(ctx, a, entered, j.piano, j.depth, j.edits, j.done); err != nil {
			return s, fmt.Errorf("start work on %s: %w", j.instrument.StockNumber, err)
		}
	}
	say("surveying the grand on offer")
	if s.Candidate, s.Survey, err = record(ctx, a, owner, candidate); err != nil {
		return s, fmt.Errorf("survey the grand: %w", err)
	}
	say("clearing its ivory with the seller's certificate")
	if _, err := a.Clear(ctx, owner, certificate(s.Candidate.ID)); err != nil {
		return s, fmt.Errorf("clear the ivory: %w", err)
	}
	say("drawing its scope at three depths and computing the bid")
	if err := s.bid(ctx, a); err != nil {
		return s, fmt.Errorf("bid for the grand: %w", err)
	}
	say("looking at its hammers again")
	if err := s.lookAgain(ctx, a); err != nil {
		return s, fmt.Errorf("look at the hammers again: %w", err)
	}
	say("granting the tuner leave")
	if err := s.grantLeave(ctx, a); err != nil {
		return s, fmt.Errorf("grant the tuner leave: %w", err)
	}
	t, err := a.IssueToken(ctx, owner, app.NewToken{Note: "for trying the API"})
	s.Token = t.Secret
	return s, err
}

func record(
	ctx context.Context, a *app.App, actor app.Actor, p piano,
) (instrument.Instrument, survey.Survey, error) {
	i, err := a.AddInstrument(ctx, actor, p.instrument)
	if err != nil {
		return instrument.Instrument{}, survey.Survey{}, err
	}
	v, err := a.TakeSurvey(ctx, actor, survey.Survey{
		Instrument: i.Value.ID, TakenOn: p.surveyed, TakenBy: "M. Kielbach",
		Findings: slices.Clone(p.findings),
	})
	return i.Value, v.Value, err
}

func startWork(
	ctx context.Context, a *app.App, entered *diary, p piano, depth catalogue.Depth,
	edits []scope.Edit, done []catalogue.Code,
) error {
	actor := entered.actor
	var yes *job.WorkConsent
	if p.client != "" {
		client, err := a.AddParty(ctx, actor, domain.Party{Name: p.client})
		if err != nil {
			return err
		}
		p.instrument.Party = client.Value.ID
		yes = &job.WorkConsent{
			Consent: job.Consent{Party: client.Value.ID, On: p.surveyed.AddDays(14), How: "by letter"},
			To:      "reconditioning, as it was explained",
		}
	}
	i, v, err := record(ctx, a, actor, p)
	if err != nil {
		return err
	}
	s, err := a.DrawScope(
		ctx, actor, postgres.ScopeRecord{Instrument: i.ID, Survey: v.ID, Depth: depth, Edits: edits},
	)
	if err != nil {
		return err
	}
	j, err := a.AcceptScope(
		ctx, actor, app.Acceptance{Scope: s.Value.ID, On: p.surveyed.AddDays(14), Consent: yes},
	)
	if err != nil {
		return err
	}
	of, err := a.Catalogue(ctx, actor)
	if err != nil {
		return err
	}
	ready := func(t job.Task) bool {
		return t.Open() && slices.Contains(done, t.Operation) &&
			len(j.Value.Ahead(of.Catalogue, t.Operation)) == 0
	}
	day := j.Value.AcceptedOn
	for slices.ContainsFunc(j.Value.Tasks, ready) {
		t := j.Value.Tasks[slices.IndexFunc(j.Value.Tasks, ready)]
		if j, day, err = entered.finish(ctx, j.Value.ID, t, day); err != nil {
			return err
		}
	}
	for _, t := range j.Value.Tasks {
		if t.Open() && slices.Contains(done, t.Operation) {
			return fmt.Errorf("%s can't be done yet: %v", t.Operation,
				j.Value.Ahead(of.Catalogue, t.Operation))
		}
	}
	return nil
}

func (s *Story) bid(ctx context.Context, a *app.App) error {
	q := app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: bid.Question{
		TransportIn: dec("380.00"), PremiumShare: dec("0"),
	}}
	asked := dec("4500.00")
	q.Asked.SellerAsks = &asked
	for _, depth := range catalogue.Depths {
		v, err := a.DrawScope(
			ctx, s.Owner,
			postgres.ScopeRecord{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Depth: depth},
		)
		if err != nil {
			return err
		}
		s.Scopes = append(s.Scopes, v.Value)
		low, high := dec(salePrices[depth][0]), dec(salePrices[depth][2])
		q.Asked.Ways = append(
			q.Asked.Ways,
			bid.Way{
				Depth: depth, SalePrice: dec(salePrices[depth][1]), SaleLow: &low, SaleHigh: &high,
			},
		)
		q.Scopes = append(q.Scopes, v.Value.ID)
	}
	var err error
	if s.Choices, err = a.Choices(ctx, s.Owner, s.Scopes[len(s.Scopes)-1].ID); err != nil {
		return err
	}
	s.question = q
	if s.Bid, err = a.WorkOutBid(ctx, s.Owner, q); err != nil {
		return err
	}
	s.Sheet, err = a.BidSheet(ctx, s.Owner, s.Bid.ID)
	return err
}
