package demo

import (
	"context"
	"fmt"
	"slices"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
)

// SecondLook is the candidate with one finding changed: what the buyer took for
// soft hammers turns out sound.
type SecondLook struct {
	Point  catalogue.PointCode
	Before string // what the point said at first
	After  string
	Bid    app.WorkedBid
}

// hammersSound is the finding that the second look changes.
var hammersSound = noted("pressed and needled: sound after all", read("SV-35", "", "0"))

// lookAgain surveys the candidate anew with the hammers found sound, and bids
// by that survey with the same question.
func (s *Story) lookAgain(ctx context.Context, a *app.App) error {
	changed := hammersSound[0].Point
	p := candidate
	p.findings = append(slices.DeleteFunc(slices.Clone(p.findings), func(f domain.Finding) bool { return f.Point == changed }), hammersSound...)
	v, err := a.TakeSurvey(ctx, s.Owner, domain.Survey{
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
	s.Second = SecondLook{
		Point: changed, Before: s.Bid.Result.Judgements.Of(changed).Says, After: worked.Result.Judgements.Of(changed).Says, Bid: worked,
	}
	return nil
}

// printSecondLook sets the figures of both looks beside each other.
func (s Story) printSecondLook(p *printer) {
	p.line("\nA SECOND LOOK AT THE HAMMERS")
	p.line("  at first:  %s  %s", s.Second.Point, s.Second.Before)
	p.line("  now:       %s  %s", s.Second.Point, s.Second.After)
	rows := []string{"\thours\t\tready in queue\t\twalk away above\t"}
	for i, w := range s.Bid.Result.Ways {
		now := s.Second.Bid.Result.Ways[i]
		rows = append(rows, fmt.Sprintf("%s\t%s\tnow %s\t%s\tnow %s\t%s\tnow %s", depthNames[w.Depth],
			w.Estimate.Hours.Likely.StringFixed(1), now.Estimate.Hours.Likely.StringFixed(1),
			p.day(w.Dates.Queued.Ready), p.day(now.Dates.Queued.Ready),
			priceOf(w, w.Negotiation.WalkAway), priceOf(now, now.Negotiation.WalkAway)))
	}
	p.table(rows)
}
