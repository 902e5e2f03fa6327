package bid

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/clearance"
	"bentside/domain/scope"
)

// Acts returns what is done with an instrument that is acquired in the form. A consigned one is
// offered for its owner, and taken in all the same: what a buyer has to know of a crack or of worm
// is as true of it.
func (f Form) Acts() []catalogue.Act {
	if f == Consigned {
		return []catalogue.Act{catalogue.ToOffer, catalogue.ToBuy}
	}
	return []catalogue.Act{catalogue.ToBuy}
}

// stopsFor returns the stops as they stand for a way in the form of the question: some instruments
// may be bought for their parts alone.
func (f Form) stopsFor(stops clearance.List, r WayResult) clearance.List {
	if f == DonorOfParts {
		stops = stops.AsDonor()
	}
	return stops.In(r.Scope)
}

// stop sets what stops the instrument for a way, the outcome where something bars it, and else what
// the work mends.
func (in Inputs) stop(r *WayResult) (err error) {
	if why := in.stopped(r); why != "" {
		r.Outcome, r.Why = Stopped, why
		return nil
	}
	r.Repairs, err = repairsOf(r.Stops)
	return err
}

// stopped says why a way is stopped; empty where it isn't.
func (in Inputs) stopped(r *WayResult) string {
	form := in.Asked.AcquiredBy()
	r.Stops = form.stopsFor(in.Stops, *r)
	if barring := r.Stops.Barring(form.Acts()...); len(barring) > 0 {
		return barring[0].Text()
	}
	if form != DonorOfParts && len(r.Scope.Stops) > 0 {
		return r.Scope.Stops[0].Text
	}
	return ""
}

// withhold takes every price, profit and chance out of a stopped way, which bids up to engine 8
// still had. What the work costs, what the instrument would sell for and what is asked for it stay.
func (r *WayResult) withhold() {
	r.Advice, r.Negotiation, r.AtAsked = nil, nil, nil
	r.Commissions, r.Exchanges = nil, nil
}

// CheckStops returns a Conflict Fault where a step of a negotiation would bind us to an instrument
// that something stops as things stand now: since the bid was worked out a worse finding may have
// come, or a clearance lapsed.
func CheckStops(o Offer, in Inputs, r Result, now clearance.List) error {
	w, ok := o.way(r)
	if !o.Kind.binds() || !ok {
		return nil
	}
	form := in.Asked.AcquiredBy()
	return form.stopsFor(now, w).Permit("nothing may be offered or paid", form.Acts()...)
}

// FoundSince returns what stops the instrument now at a way and didn't when the bid was worked out:
// what was found since, and what was cleared then and isn't any more.
func FoundSince(in Inputs, r WayResult, now clearance.List) clearance.List {
	return slices.DeleteFunc(in.Asked.AcquiredBy().stopsFor(now, r), func(s clearance.Stop) bool {
		for _, was := range r.Stops {
			if was.ID == s.ID && len(was.Barred()) > 0 {
				return true
			}
		}
		known := slices.ContainsFunc( // up to engine 8
			r.Scope.Stops, func(x scope.Stop) bool { return x.Point == s.Point },
		)
		return known || len(s.Barred()) == 0
	})
}
