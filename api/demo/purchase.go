package demo

import (
	"context"
	"fmt"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/job"

	"github.com/google/uuid"
)

// Purchase is the candidate once it is bought, accepted as a job and begun.
type Purchase struct {
	Instrument instrument.Instrument // now ours
	Paid       string
	Stops      clearance.List // what still stops it, given the work of the job
	Job        job.Job
}

// certificate is the seller's paper for the candidate, under the law of the country where it
// stands.
func certificate(i uuid.UUID) clearance.Clearance {
	return clearance.Clearance{
		Instrument: i, Stop: "ivory-eu", By: "M. Kielbach",
		Says:      "dated 1911 by serial number and key; the seller's certificate seen, issued for this piano",
		Reference: "ZB 2026/0418", Dated: domain.Date{Year: 2026, Month: 2, Day: 18},
	}
}

// Buy continues the story: the candidate is bought for what the seller asks, its restoration
// becomes a job, and it is fetched.
func (s *Story) Buy(ctx context.Context, a *app.App, say func(string)) error {
	say("buying the grand and starting work on it")
	price := s.question.Asked.SellerAsks
	step, err := a.RecordOffer(ctx, s.Owner, bid.Offer{
		Bid: s.Bid.ID, Kind: bid.Bought, Depth: catalogue.Restore, Amount: price, StockNumber: "K-124",
	})
	if err != nil {
		return fmt.Errorf("buy the grand: %w", err)
	}
	restore := s.Scopes[len(s.Scopes)-1]
	j, err := a.AcceptScope(ctx, s.Owner, app.Acceptance{Scope: restore.ID, On: Today})
	if err != nil {
		return fmt.Errorf("accept its restoration: %w", err)
	}
	fetched := j.Value.Tasks[0]
	if j, _, err = s.diary.finish(ctx, j.Value.ID, fetched, Today); err != nil {
		return fmt.Errorf("fetch it: %w", err)
	}
	i, err := a.Read(ctx, s.Owner).Instrument(ctx, s.Candidate.ID)
	if err != nil {
		return err
	}
	s.Purchase = &Purchase{Instrument: i.Value, Paid: step.Amount.StringFixed(2), Job: j.Value}
	s.Purchase.Stops, err = a.JobStops(ctx, s.Owner, j.Value)
	return err
}

// printPurchase says how the work has begun and what must be settled before the piano is offered.
func (s Story) printPurchase(p *printer) {
	b := s.Purchase
	if b == nil {
		return
	}
	p.line("\nBOUGHT AND BEGUN")
	p.line("  %s is ours for %s %s; the restoration is accepted, %d tasks.", b.Instrument.StockNumber,
		b.Paid, s.Workshop.Terms.Currency, len(b.Job.Tasks))
	for _, t := range b.Job.Tasks {
		if !t.Open() {
			p.line("  done: %s %s, %s h", t.Operation, t.Line.Name, t.Done.StringFixed(1))
		}
	}
	for _, stop := range b.Stops {
		p.printStop(stop)
	}
}

// printStop says what stops the piano, or what was cleared.
func (p *printer) printStop(s clearance.Stop) {
	switch {
	case len(s.Barred()) > 0:
		p.line("  STOP: %s", s.Text())
	case s.Clearance != nil:
		p.line("  %s: %s", s.ID, s.Clearance.Text())
	default:
		p.line("  %s: lifted by the work", s.ID)
	}
}
