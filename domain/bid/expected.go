package bid

import (
	"context"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Expected is what a bid expected of an instrument at the price for which it was bought.
type Expected struct {
	Depth           catalogue.Depth
	Sums            pricing.Sums
	Hours           decimal.Decimal
	ReadyOn, SellOn domain.Date
}

// Expected returns what the bid expected at the price of the step by which the instrument was
// bought outright; nil for any other step, and for a bid whose figures can't be compared: of an
// older model, or whose way was stopped. The bid's own way is worked out anew with the price.
func (o Offer) Expected(
	ctx context.Context, in Inputs, r Result, c *catalogue.Catalogue, zone *time.Location,
) (*Expected, error) {
	w, ok := o.way(r)
	if !ok || o.Kind != Bought || o.Amount == nil || in.Asked.AcquiredBy() != Purchase ||
		w.Outcome == Stopped || w.Negotiation == nil || OfOlderModel(in.Engine) {
		return nil, nil //nolint:nilnil // nothing to compare with
	}
	p, err := in.prospectAt(ctx, w, *o.Amount, c, zone)
	if err != nil {
		return nil, err
	}
	return &Expected{
		Depth: w.Depth, Sums: p.Sums, Hours: w.Estimate.Hours.Expected,
		ReadyOn: domain.DateOf(w.Dates.Queued.Ready.In(zone)), SellOn: o.On.AddDays(w.HoldDays),
	}, nil
}
