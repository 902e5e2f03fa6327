package domain

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// OfferKind is what happened in the talk about a price.
type OfferKind string

// We Offered a price, or the seller Countered with one or Refused. The talk is
// over when the instrument is Bought, or a consigned one TakenIn, or Lost to us.
const (
	WeOffered OfferKind = "offered"
	Refused   OfferKind = "refused"
	Countered OfferKind = "countered"
	Bought    OfferKind = "bought"
	TakenIn   OfferKind = "taken_in"
	Lost      OfferKind = "lost"
)

// OfferKinds lists every kind.
var OfferKinds = []OfferKind{WeOffered, Refused, Countered, Bought, TakenIn, Lost}

// Ends reports whether the talk is over with it.
func (k OfferKind) Ends() bool { return k == Bought || k == TakenIn || k == Lost }

// binds reports whether we are held to the amount.
func (k OfferKind) binds() bool { return k == WeOffered || k == Bought || k == TakenIn }

// Offer is one step of the talk about a bid. Steps are kept for ever: the amount
// of the one that ends it is the purchase price, written once.
type Offer struct {
	ID   uuid.UUID
	Bid  uuid.UUID
	Kind OfferKind
	// Depth is the way of the bid that the amount is measured by; empty where the
	// bid has one way only, or where we are not held to the amount.
	Depth catalogue.Depth
	// Amount is in major units of the bid's currency: the price, a consigned
	// instrument's payout, a part exchange's allowance. Nil for a refusal; of a
	// lost one, what it went for, where that is known.
	Amount *decimal.Decimal
	On     Date
	// StockNumber is the number that it has with us from now on.
	StockNumber string
	// Reason is why more than the walk-away price is paid.
	Reason string
	Note   string
	// By is the user who recorded it.
	By uuid.UUID
}

// CheckOffer tests a step of a talk against its bid and the steps before, on a
// day. It returns an Invalid Fault with everything that cannot be right, or a
// Conflict Fault where the talk is over or a finding stops the purchase.
func CheckOffer(o Offer, in BidInputs, r BidResult, before []Offer, today Date) error {
	for _, b := range before {
		if b.Kind.Ends() {
			return Refuse(Conflict, "the talk is over: %s on %s", b.Kind, b.On)
		}
	}
	f := questionCheck{}
	var err error
	if f.currency, err = in.currency(); err != nil {
		return err
	}
	o.checkKind(&f, in.Asked.AcquiredBy())
	o.checkAmount(&f)
	if today.DaysUntil(o.On) > 0 {
		f.Add("#/on", "%s has not come yet", o.On)
	}
	for _, x := range []struct{ pointer, text string }{{"#/reason", o.Reason}, {"#/note", o.Note}} {
		if len(x.text) > maxText {
			f.Add(x.pointer, "has more than %d characters", maxText)
		}
	}
	if !o.Kind.binds() {
		return f.Err()
	}
	w, found := o.way(r)
	if !found {
		f.Add("#/depth", "must name one of the bid's ways")
		return f.Err()
	}
	if w.Outcome == Stopped {
		return Refuse(Conflict, "the bid is stopped: %s. Have it looked into, and work out a new bid that says who cleared it", w.Why)
	}
	o.checkWalkAway(&f, w)
	return f.Err()
}

// checkKind wants the kind, the number and the form to go together.
func (o Offer) checkKind(f *questionCheck, form Form) {
	switch {
	case !slices.Contains(OfferKinds, o.Kind):
		f.Add("#/kind", "is none of offered, refused, countered, bought, taken_in, lost")
	case o.Kind == Bought && form == Consigned:
		f.Add("#/kind", "a consigned instrument is never bought: it is taken_in")
	case o.Kind == TakenIn && form != Consigned:
		f.Add("#/kind", "only a consigned instrument is taken_in: this one is bought")
	}
	ours := o.Kind == Bought || o.Kind == TakenIn
	switch {
	case o.Kind == Bought && o.StockNumber == "":
		f.Add("#/stock_number", "must be given for what is bought")
	case !ours && o.StockNumber != "":
		f.Add("#/stock_number", "belongs to what is bought or taken in")
	case len(o.StockNumber) > maxName:
		f.Add("#/stock_number", "has more than %d characters", maxName)
	}
}

func (o Offer) checkAmount(f *questionCheck) {
	switch {
	case o.Kind == Refused && o.Amount != nil:
		f.Add("#/amount", "a refusal names none; use countered for what the seller wants instead")
	case o.Amount != nil:
		f.amount("#/amount", *o.Amount)
	case o.Kind != Refused && o.Kind != Lost:
		f.Add("#/amount", "must be given")
	}
}

// way is the way of the bid that the offer is measured by.
func (o Offer) way(r BidResult) (WayResult, bool) {
	if o.Depth == "" && len(r.Ways) == 1 {
		return r.Ways[0], true
	}
	i := slices.IndexFunc(r.Ways, func(w WayResult) bool { return w.Depth == o.Depth })
	if i < 0 {
		return WayResult{}, false
	}
	return r.Ways[i], true
}

// checkWalkAway wants a reason for more than the walk-away price of the way. A
// bid of engine 1 has the break-even in its place.
func (o Offer) checkWalkAway(f *questionCheck, w WayResult) {
	if o.Amount == nil || o.Reason != "" {
		return
	}
	var most *pricing.Sums
	switch n := w.Negotiation; {
	case n == nil:
		most = w.Advice.BreakEven
	case n.WalkAway != nil:
		most = &n.WalkAway.Sums
	}
	switch {
	case most == nil:
		f.Add("#/reason", "must be given: at this depth the bid says to leave it at any price")
	case o.Amount.GreaterThan(most.Price.Decimal()):
		f.Add("#/reason", "must be given: %s is above the walk-away price of %s", o.Amount, most.Price)
	}
}

// AfterOffer is the instrument after a step of the talk, and whether that
// changed it: bought, it is ours under its stock number; taken in, it is its
// owner's and in our care; lost, it is let go.
func (i Instrument) AfterOffer(o Offer) (Instrument, bool) {
	switch o.Kind {
	case Bought:
		i.Owner, i.State = Stock, FirstState(Stock)
	case TakenIn:
		i.Owner, i.State = Client, FirstState(Client)
	case Lost:
		i.State = LetGo
		return i, true
	case WeOffered, Refused, Countered:
		return i, false
	}
	if o.StockNumber != "" {
		i.StockNumber = o.StockNumber
	}
	return i, true
}
