package bid

import (
	"context"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"
)

// Spared is work that a finding takes away because it is too bad for it, as loose pins in a parted
// plank aren't glued, or because it is bad at the other end, such as pins that are too tight. The
// next owner finds it so: an instrument isn't worth more for it, so prices count with that work as
// if it were done. Knowing less, or finding something worse, then never raises one.
type Spared struct {
	// Operations are those of the work that the way doesn't have, or has less often.
	Operations []catalogue.Code `json:"operations"`
	// Work is by how much more the prices count with than the work costs.
	Work money.Amount `json:"work"`
}

// pricedWork is the work that prices count with.
type pricedWork struct {
	scope    scope.Scope
	estimate pricing.Estimate
}

// price sets the work that the prices of a way count with: its own, or that with what bad findings
// spare where it costs more. The instrument is then held as long as that would take.
func (in Inputs) price(
	ctx context.Context, d *depthScopes, zone *time.Location, way Way, r *WayResult,
) error {
	r.priced = pricedWork{r.Scope, r.Estimate}
	if r.Outcome == Stopped {
		return nil
	}
	terms := in.Workshop.Terms
	s, spares, err := scope.DrawUnsparing(
		d.c, in.Instrument, d.js, way.Depth, way.Edits, terms.PointOdds(),
	)
	if err != nil || !spares {
		return err
	}
	if in.Asked.TransportIn.IsPositive() {
		s = s.Fetched(d.c)
	}
	e, err := in.estimate(d, *r, s)
	if err != nil {
		return err
	}
	more := e.Costs.Total.Expected.Sub(r.Estimate.Costs.Total.Expected)
	if more.Sign() <= 0 {
		return nil
	}
	dates, err := in.situation(zone, r.Stops).DatesOf(ctx, d.c, s)
	if err != nil {
		return err
	}
	r.HoldDays = max(r.HoldDays, in.heldUntil(dates, zone)+r.DaysOnFloor)
	r.priced = pricedWork{s, e}
	r.Spared = &Spared{Work: more}
	for _, l := range s.Lines {
		at := slices.IndexFunc(r.Scope.Lines, func(x scope.Line) bool {
			return x.Operation == l.Operation
		})
		if at < 0 || r.Scope.Lines[at].Chance.LessThan(l.Chance) {
			r.Spared.Operations = append(r.Spared.Operations, l.Operation)
		}
	}
	return nil
}

// heldUntil returns the days from the purchase until the instrument is ready.
func (in Inputs) heldUntil(dates plan.Dates, zone *time.Location) int {
	ready := domain.DateOf(dates.Queued.Ready.In(zone))
	return domain.DateOf(in.At.In(zone)).DaysUntil(ready)
}
