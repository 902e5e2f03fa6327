package demo

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/survey"
)

// WhatIf is the story's bid computed again with one thing changed.
type WhatIf struct {
	Title string
	Says  []string // what has changed
	Bid   app.WorkedBid
}

// hammersSound is the finding that a second look changes: the hammers, which the buyer thought
// soft, turn out sound.
var hammersSound = noted("pressed and needled: sound after all", read("SV-35", "", "0"))

// lookAgain surveys the candidate again with sound hammers, and asks the same question about that
// survey.
func (s *Story) lookAgain(ctx context.Context, a *app.App) error {
	point := hammersSound[0].Point
	p := candidate
	p.findings = append(
		slices.DeleteFunc(
			slices.Clone(p.findings), func(f survey.Finding) bool { return f.Point == point },
		),
		hammersSound...,
	)
	v, err := a.TakeSurvey(ctx, s.Owner, survey.Survey{
		Instrument: s.Candidate.ID, TakenOn: p.surveyed, TakenBy: "M. Kielbach", Findings: p.findings,
	})
	if err != nil {
		return err
	}
	q := s.question
	q.Survey, q.Scopes = v.Value.ID, nil
	worked, err := a.WorkOutBid(ctx, s.Owner, q)
	if err != nil {
		return err
	}
	s.Second = WhatIf{Title: "A SECOND LOOK AT THE HAMMERS", Bid: worked, Says: []string{
		fmt.Sprintf("at first:  %s  %s", point, s.Bid.Result.Judgements.Of(point).Text),
		fmt.Sprintf("now:       %s  %s", point, worked.Result.Judgements.Of(point).Text),
	}}
	return nil
}

// The only tuner in the crew is away for two weeks in May.
var (
	tuner      = "Senta Vollbrecht"
	leaveFirst = domain.Date{Year: 2026, Month: time.May, Day: 4}
	leaveLast  = domain.Date{Year: 2026, Month: time.May, Day: 15}
)

// grantLeave enters the tuner's leave and asks the question of the bid again.
func (s *Story) grantLeave(ctx context.Context, a *app.App) error {
	people, err := a.Read(ctx, s.Owner).People(ctx, postgres.Whole)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(
		people, func(p app.Versioned[domain.Person]) bool { return p.Value.Name == tuner },
	)
	if at < 0 {
		return fmt.Errorf("%s isn't in the crew", tuner)
	}
	if _, err := a.AddAbsence(
		ctx, s.Owner,
		domain.Absence{Person: people[at].Value.ID, First: leaveFirst, Last: leaveLast},
	); err != nil {
		return err
	}
	worked, err := a.WorkOutBid(ctx, s.Owner, s.question)
	if err != nil {
		return err
	}
	s.Leave = WhatIf{Title: "LEAVE IN MAY", Bid: worked, Says: []string{
		fmt.Sprintf("%s, the only tuner, is away from %s to %s.", tuner, leaveFirst, leaveLast),
	}}
	return nil
}

// printWhatIf prints the figures of the first bid next to those of the changed one.
func (s Story) printWhatIf(p *printer, x WhatIf) {
	p.line("\n%s", x.Title)
	for _, says := range x.Says {
		p.line("  %s", says)
	}
	rows := []string{"\thours\t\tready in queue\t\twalk away above\t"}
	for i, w := range s.Bid.Result.Ways {
		now := x.Bid.Result.Ways[i]
		rows = append(rows, fmt.Sprintf("%s\t%s\tnow %s\t%s\tnow %s\t%s\tnow %s", depthNames[w.Depth],
			w.Estimate.Hours.Likely.StringFixed(1), now.Estimate.Hours.Likely.StringFixed(1),
			p.day(w.Dates.Queued.Ready), p.day(now.Dates.Queued.Ready),
			priceOf(w, w.Negotiation.WalkAway), priceOf(now, now.Negotiation.WalkAway)))
	}
	p.table(rows)
}

// printLeave also says which work waits for the tuner.
func (s Story) printLeave(p *printer) {
	s.printWhatIf(p, s.Leave)
	for _, w := range s.Leave.Bid.Result.Ways {
		for _, step := range w.Dates.Queued.Path {
			if strings.Contains(step.Why, tuner) {
				p.line(
					"  %s: on %s %s: %s", depthNames[w.Depth], p.day(step.Start), step.Name,
					step.Why,
				)
			}
		}
	}
}
