package bid

import (
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/pricing"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// OfferKind is what happened in the negotiation about a price.
type OfferKind string

// We offered a price, or the seller Countered with one or Refused. The negotiation is over when the
// instrument is Bought, or a consigned one TakenIn, or Lost to us.
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

// Ends reports whether the negotiation is over with it.
func (k OfferKind) Ends() bool { return k == Bought || k == TakenIn || k == Lost }

// State is where the negotiation about a bid stands: Open until a step ends it, then that step's
// kind.
type State string

// Open is the State of a negotiation that no step has ended.
const Open State = "open"

// binds reports whether it binds us to the amount.
func (k OfferKind) binds() bool { return k == WeOffered || k == Bought || k == TakenIn }

// Offer is one step of the negotiation about a bid. Steps are kept for ever: the amount of the one
// that ends it is the purchase price, written once.
type Offer struct {
	ID   uuid.UUID
	Bid  uuid.UUID
	Kind OfferKind
	// Depth is the way of the bid that the amount is compared with; empty where the bid has only
	// one way, or where the amount doesn't bind us.
	Depth catalogue.Depth
	// Amount is in major units of the bid's currency: the price, a consigned instrument's payout, a
	// part exchange's allowance. It is nil for a refusal. For an instrument that was lost it is
	// what it went for, where that is known.
	Amount *decimal.Decimal
	On     domain.Date
	// StockNumber is the instrument's number with us from now on.
	StockNumber string
	// TaxShown says whether the seller's invoice shows tax; nil: as the bid says. Of a purchase only.
	TaxShown *bool
	// OpenRegimes are the tax regimes that a purchase leaves open to the sale; nil for any other
	// step.
	OpenRegimes []domain.TaxRegime
	// Reason is why we pay more than the walk-away price.
	Reason string
	Note   string
	// By is the user who recorded it.
	By uuid.UUID
}

// CheckOffer checks a step of a negotiation against its bid, made on a day, and the steps before.
// It returns an Invalid Fault with everything wrong in it, or a Conflict Fault where the
// negotiation is over or a finding stops the purchase.
func CheckOffer(
	o Offer, in Inputs, r Result, made domain.Date, before []Offer, today domain.Date,
) error {
	for _, b := range before {
		if b.Kind.Ends() {
			return domain.Refuse(domain.Conflict, "the negotiation is over: %s on %s", b.Kind, b.On)
		}
	}
	f := moneyFaults{}
	var err error
	if f.currency, err = in.currency(); err != nil {
		return err
	}
	o.checkKind(&f, in.Asked.AcquiredBy())
	o.checkAmount(&f)
	if today.DaysUntil(o.On) > 0 {
		f.Add("#/on", "must be today, %s, or earlier, not %s", today, o.On)
	}
	o.checkOrder(&f, made, before)
	for _, x := range []struct{ pointer, text string }{{"#/reason", o.Reason}, {"#/note", o.Note}} {
		if utf8.RuneCountInString(x.text) > domain.MaxText {
			f.Add(x.pointer, "has more than %d characters", domain.MaxText)
		}
	}
	if !o.Kind.binds() {
		return f.Err()
	}
	w, ok := o.way(r)
	if !ok {
		f.Add("#/depth", "must be the depth of one of the bid's ways")
		return f.Err()
	}
	if w.Outcome == Stopped {
		return domain.Refuse(
			domain.Conflict,
			"the bid is stopped: %s. Once that is cleared or in the scope, make a new bid",
			w.Why,
		)
	}
	if says, points := unlooked(w.Unseen); says != "" && w.Outcome == Conditional {
		return domain.Refuse(
			domain.Conflict,
			"%s (%s). Have it looked at and make a new bid, or one in which somebody takes it on by "+
				"name; what the law decides can't be taken on", says, strings.Join(points, ", "),
		)
	}
	o.checkWalkAway(&f, w)
	return f.Err()
}

// checkOrder notes a fault where a step that binds us is dated before its bid was made, or one that
// ends the negotiation before another step of it.
func (o Offer) checkOrder(f *moneyFaults, made domain.Date, before []Offer) {
	if o.Kind.binds() && o.On.DaysUntil(made) > 0 {
		f.Add("#/on", "must be %s, the day of the bid that it rests on, or later, not %s", made, o.On)
		return
	}
	if !o.Kind.Ends() {
		return
	}
	for _, b := range before {
		if o.On.DaysUntil(b.On) > 0 {
			f.Add("#/on", "must be %s, when the step before it was taken (%s), or later, not %s",
				b.On, b.Kind, o.On)
			return
		}
	}
}

// checkKind notes a fault unless the kind, the stock number and the form go together.
func (o Offer) checkKind(f *moneyFaults, form Form) {
	switch {
	case !slices.Contains(OfferKinds, o.Kind):
		f.Add("#/kind", "must be offered, refused, countered, bought, taken_in or lost, not %q", o.Kind)
	case o.Kind == Bought && form == Consigned:
		f.Add("#/kind", "must be taken_in for a consigned instrument, which is never bought")
	case o.Kind == TakenIn && form != Consigned:
		f.Add("#/kind", "must be bought: only a consigned instrument is taken_in")
	}
	ours := o.Kind == Bought || o.Kind == TakenIn
	switch {
	case o.Kind == Bought && o.StockNumber == "":
		f.Add("#/stock_number", "must be given for an instrument that is bought")
	case !ours && o.StockNumber != "":
		f.Add("#/stock_number", "must be left out unless the instrument is bought or taken in")
	case utf8.RuneCountInString(o.StockNumber) > domain.MaxName:
		f.Add("#/stock_number", "has more than %d characters", domain.MaxName)
	}
	if o.Kind != Bought && o.TaxShown != nil {
		f.Add("#/tax_shown", "must be left out unless the instrument is bought")
	}
}

// Taxed returns the step with the tax regimes that it leaves open to the sale.
func (o Offer) Taxed(in Inputs) Offer {
	if o.Kind != Bought {
		return o
	}
	shown := in.Asked.TaxShown
	if o.TaxShown != nil {
		shown = *o.TaxShown
	}
	o.OpenRegimes = in.Asked.OpenRegimes(in.Workshop.Terms.TaxRegime, shown)
	return o
}

func (o Offer) checkAmount(f *moneyFaults) {
	switch {
	case o.Kind == Refused && o.Amount != nil:
		f.Add(
			"#/amount", "must be left out for a refusal; use countered for what the seller wants instead",
		)
	case o.Amount != nil:
		f.checkAmount("#/amount", *o.Amount)
	case o.Kind != Refused && o.Kind != Lost:
		f.Add("#/amount", "must be given")
	}
}

// way returns the way of the bid that the amount is compared with.
func (o Offer) way(r Result) (WayResult, bool) {
	if o.Depth == "" && len(r.Ways) == 1 {
		return r.Ways[0], true
	}
	i := slices.IndexFunc(r.Ways, func(w WayResult) bool { return w.Depth == o.Depth })
	if i < 0 {
		return WayResult{}, false
	}
	return r.Ways[i], true
}

// checkWalkAway notes a fault where the amount is above the walk-away price of the way without a
// reason. A bid of engine 1 has no walk-away price; its break-even price is used instead.
func (o Offer) checkWalkAway(f *moneyFaults, w WayResult) {
	if o.Amount == nil || o.Reason != "" {
		return
	}
	var most *pricing.Sums
	switch n := w.Negotiation; {
	case n == nil && w.Advice != nil:
		most = w.Advice.BreakEven
	case n == nil:
	case n.WalkAway != nil:
		most = &n.WalkAway.Sums
	}
	switch {
	case most == nil:
		f.Add("#/reason", "must be given: at this depth the bid advises against any price")
	case o.Amount.GreaterThan(most.Price.Decimal()):
		f.Add("#/reason", "must be given: %s is above the walk-away price of %s", o.Amount, most.Price)
	}
}

// AfterOffer returns the instrument after a step of the negotiation, and reports whether that
// changed it. If bought, it is ours under its stock number; if taken in, it is its owner's and in
// our care; if lost, it is let go.
func AfterOffer(i instrument.Instrument, o Offer) (instrument.Instrument, bool) {
	switch o.Kind {
	case Bought:
		i.Owner, i.State = instrument.Stock, instrument.FirstState(instrument.Stock)
	case TakenIn:
		i.Owner, i.State = instrument.Client, instrument.FirstState(instrument.Client)
	case Lost:
		i.State = instrument.LetGo
		return i, true
	case WeOffered, Refused, Countered:
		return i, false
	}
	if o.StockNumber != "" {
		i.StockNumber = o.StockNumber
	}
	return i, true
}
