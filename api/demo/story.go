package demo

import (
	"context"
	"fmt"
	"slices"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Story is what was told, with what is needed to go on from there.
type Story struct {
	Workshop  domain.Workshop
	Owner     app.Actor
	Token     string
	Candidate domain.Instrument
	Survey    domain.Survey
	Scopes    []app.DrawnScope // of the candidate, a depth each
	Bid       app.WorkedBid
	Second    WhatIf         // the hammers are sound
	Leave     WhatIf         // the tuner is away
	question  app.BidRequest // that Bid answers
}

// Tell tells the story; say is given a line for each step.
func Tell(ctx context.Context, a *app.App, say func(string)) (Story, error) {
	say("founding the workshop and its catalogue")
	s := Story{Workshop: workshop()}
	owner, err := a.Found(ctx, app.Founding{Workshop: s.Workshop, OwnerName: "Mathilde Kielbach", PriceRate: pricesInEuro})
	if err != nil {
		return s, fmt.Errorf("found the workshop: %w", err)
	}
	s.Owner = owner
	if err := fitOut(ctx, a, owner); err != nil {
		return s, fmt.Errorf("fit the workshop out: %w", err)
	}
	for _, j := range underWay {
		say(fmt.Sprintf("putting %s %s under way", j.instrument.StockNumber, j.instrument.Maker))
		if err := putUnderWay(ctx, a, owner, j.piano, j.depth, j.edits, j.done); err != nil {
			return s, fmt.Errorf("put %s under way: %w", j.instrument.StockNumber, err)
		}
	}
	say("surveying the grand that is offered")
	if s.Candidate, s.Survey, err = record(ctx, a, owner, candidate); err != nil {
		return s, fmt.Errorf("survey the grand: %w", err)
	}
	say("drawing up its scope at three depths and working out the bid")
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

func record(ctx context.Context, a *app.App, actor app.Actor, p piano) (domain.Instrument, domain.Survey, error) {
	i, err := a.AddInstrument(ctx, actor, p.instrument)
	if err != nil {
		return domain.Instrument{}, domain.Survey{}, err
	}
	v, err := a.TakeSurvey(ctx, actor, domain.Survey{
		Instrument: i.Value.ID, TakenOn: p.surveyed, TakenBy: "M. Kielbach", Findings: slices.Clone(p.findings),
	})
	return i.Value, v.Value, err
}

func putUnderWay(ctx context.Context, a *app.App, actor app.Actor, p piano, depth catalogue.Depth, edits []domain.Edit, done []catalogue.Code) error {
	i, v, err := record(ctx, a, actor, p)
	if err != nil {
		return err
	}
	s, err := a.DrawScope(ctx, actor, postgres.Decision{Instrument: i.ID, Survey: v.ID, Depth: depth, Edits: edits})
	if err != nil {
		return err
	}
	j, err := a.AcceptScope(ctx, actor, uuid.Nil, s.Value.ID, p.surveyed.AddDays(14))
	if err != nil {
		return err
	}
	for _, t := range j.Value.Tasks {
		if !slices.Contains(done, t.Operation) {
			continue
		}
		said := domain.Progress{Operation: t.Operation, Done: t.Planned, Finished: true}
		if _, err := a.RecordProgress(ctx, actor, j.Value.ID, said); err != nil {
			return err
		}
	}
	return nil
}

func (s *Story) bid(ctx context.Context, a *app.App) error {
	q := app.BidRequest{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: domain.BidQuestion{
		TransportIn: dec("380.00"), PremiumShare: dec("0"),
		Cleared: []domain.Clearance{{
			Point: "SV-42", By: "M. Kielbach", Why: "dated 1911 by serial number and key; certificate applied for, the sale waits for it",
		}},
	}}
	asked := dec("4500.00")
	q.Asked.SellerAsks = &asked
	for _, depth := range catalogue.Depths {
		v, err := a.DrawScope(ctx, s.Owner, postgres.Decision{Instrument: s.Candidate.ID, Survey: s.Survey.ID, Depth: depth})
		if err != nil {
			return err
		}
		s.Scopes = append(s.Scopes, v.Value)
		low, high := dec(salePrices[depth][0]), dec(salePrices[depth][2])
		q.Asked.Ways = append(q.Asked.Ways, domain.BidWay{Depth: depth, SalePrice: dec(salePrices[depth][1]), SaleLow: &low, SaleHigh: &high})
		q.Scopes = append(q.Scopes, v.Value.ID)
	}
	var err error
	s.question = q
	s.Bid, err = a.WorkOutBid(ctx, s.Owner, q)
	return err
}
