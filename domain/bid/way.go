package bid

import (
	"context"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/plan"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
)

// depthScopes draws scopes for a bid. What the rules alone call for is drawn once for each depth.
type depthScopes struct {
	c     *catalogue.Catalogue
	in    Inputs
	js    survey.Judgements
	drawn map[catalogue.Depth]scope.Scope
}

func (d *depthScopes) scope(depth catalogue.Depth, edits []scope.Edit) (scope.Scope, error) {
	if s, ok := d.drawn[depth]; ok && len(edits) == 0 {
		return s, nil
	}
	s, err := scope.Draw(d.c, d.in.Instrument, d.js, depth, edits, d.in.Workshop.Terms.PointOdds())
	if err != nil || len(edits) > 0 {
		return s, err
	}
	if d.drawn == nil {
		d.drawn = map[catalogue.Depth]scope.Scope{}
	}
	d.drawn[depth] = s
	return s, nil
}

// shop returns what dates depend on apart from the work.
func (in Inputs) shop(zone *time.Location) plan.Shop {
	return plan.Shop{
		Open: in.Workshop.Open, Zone: zone, Stations: in.Stations, People: in.People,
		Absences: in.Absences, Confirmed: in.Workshop.Confirmed,
	}
}

// situation returns where and when the work of a way begins, and what stops its instrument.
func (in Inputs) situation(zone *time.Location, stops clearance.List) plan.Situation {
	return plan.Situation{
		Shop: in.shop(zone), At: in.At, Queue: in.Queue, Stops: plan.StopsOf(stops),
	}
}

// computeWay returns the bid for one depth.
func (in Inputs) computeWay(
	ctx context.Context, d *depthScopes, zone *time.Location, way Way,
) (WayResult, error) {
	r := WayResult{Depth: way.Depth}
	terms := in.Workshop.Terms
	var err error
	if err = ctx.Err(); err != nil {
		return r, err
	}
	if r.Scope, err = d.scope(way.Depth, way.Edits); err != nil {
		return r, err
	}
	if in.Asked.TransportIn.IsPositive() {
		r.Scope = r.Scope.Fetched(d.c)
	}
	if r.Unseen, err = d.unseen(r.Scope); err != nil {
		return r, err
	}
	if r.Undone, err = d.undone(r.Scope, way.Defects); err != nil {
		return r, err
	}
	if err = ctx.Err(); err != nil {
		return r, err
	}
	if err = in.stop(&r); err != nil {
		return r, err
	}
	if r.Estimate, err = in.estimate(d, r, r.Scope); err != nil {
		return r, err
	}
	if r.Dates, err = in.situation(zone, r.Stops).DatesOf(ctx, d.c, r.Scope); err != nil {
		return r, err
	}
	r.DaysOnFloor = terms.DaysOnFloor
	if way.DaysOnFloor != nil {
		r.DaysOnFloor = *way.DaysOnFloor
	}
	r.HoldDays = in.heldUntil(r.Dates, zone) + r.DaysOnFloor
	if err = in.price(ctx, d, zone, way, &r); err != nil {
		return r, err
	}
	sale, err := in.saleOf(way)
	if err != nil {
		return r, err
	}
	return r, in.setPrices(ctx, &r, sale)
}

// estimate returns an estimate of a way's work where the instrument doesn't prove a donor, which
// takes none.
func (in Inputs) estimate(
	d *depthScopes, r WayResult, s scope.Scope,
) (pricing.Estimate, error) {
	e, err := scope.Estimate(d.c, in.Instrument, d.js, s, in.Workshop.Terms)
	g := in.given(r, "")
	if err != nil || g.Unfit == nil || r.Outcome == Stopped {
		return e, err
	}
	return s.EstimateGiven(e, g)
}
