package domain

import (
	"fmt"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Commissions are the terms with the owner of a consigned instrument: at Target
// the least commission that leaves the wanted profit, at WalkAway the payout that
// can be guaranteed, at Asked what the owner wants. Chances of a loss are those
// of a guaranteed payout.
type Commissions struct {
	OwnerBears money.Amount        `json:"owner_bears"`
	Target     *pricing.Commission `json:"target,omitempty"`
	WalkAway   *pricing.Commission `json:"walk_away,omitempty"`
	Asked      *pricing.Commission `json:"asked,omitempty"`
}

// Exchanges are the two sales of a part exchange at the allowances.
type Exchanges struct {
	Target   *pricing.Exchange `json:"target,omitempty"`
	WalkAway *pricing.Exchange `json:"walk_away,omitempty"`
	Asked    *pricing.Exchange `json:"asked,omitempty"`
}

// PartWorth is what a part of a donor counts for.
type PartWorth struct {
	Name    string          `json:"name"`
	Worth   pricing.Range   `json:"worth"`
	Usable  decimal.Decimal `json:"usable"`
	Counted money.Amount    `json:"counted"` // the likely worth times the chance
}

// suit puts a bid into the form of the question. A consigned instrument is paid
// for when it is sold, and tax falls on what is kept of the sale, which is the
// sum of a margin scheme; a donor's parts are not sold as an instrument, so
// there is neither tax nor selling cost. Which tax applies is for an adviser.
func (q BidQuestion) suit(b *pricing.BidInput) {
	switch q.AcquiredBy() {
	case Consigned:
		b.Holding.PaidAtSale = true
		if b.Tax.Regime == pricing.StandardTax {
			b.Tax.Regime = pricing.MarginScheme
		}
	case DonorOfParts:
		b.Tax = pricing.TaxRule{Regime: pricing.NoTax}
		b.Selling = pricing.Portion{}
	case Purchase, PartExchange:
	}
}

// followForm works out what else the form asks for, price by price. The rule of
// half the uplift is one for buying; it opens no talk about a commission or
// about parts.
func (in BidInputs) followForm(r *WayResult, bid pricing.Bid) error {
	n := r.Negotiation
	switch in.Asked.AcquiredBy() {
	case Consigned:
		n.Opening = nil
		return in.followCommissions(r)
	case PartExchange:
		return in.followExchanges(r, bid)
	case DonorOfParts:
		n.Opening = nil
	case Purchase:
	}
	return nil
}

func (in BidInputs) followCommissions(r *WayResult) error {
	bears, err := in.amount(in.Asked.Consignment.OwnerBears)
	if err != nil {
		return err
	}
	r.Commissions = &Commissions{OwnerBears: bears}
	c, n := r.Commissions, r.Negotiation
	for _, x := range []struct {
		at *pricing.Prospect
		to **pricing.Commission
	}{{n.Target, &c.Target}, {n.WalkAway, &c.WalkAway}, {n.Asked, &c.Asked}} {
		if x.at == nil {
			continue
		}
		kept, err := pricing.CommissionAt(r.Sale.Likely, bears, x.at.Price)
		if err != nil {
			return err
		}
		*x.to = &kept
	}
	return nil
}

func (in BidInputs) followExchanges(r *WayResult, bid pricing.Bid) error {
	other, err := in.amount(in.Asked.OtherSale.Price)
	if err != nil {
		return err
	}
	paid, err := in.amount(in.Asked.OtherSale.Paid)
	if err != nil {
		return err
	}
	r.Exchanges = &Exchanges{}
	e, n := r.Exchanges, r.Negotiation
	worth := money.Zero(other.Currency())
	if n.Target != nil {
		worth = n.Target.Price
	}
	for _, x := range []struct {
		at *pricing.Prospect
		to **pricing.Exchange
	}{{n.Target, &e.Target}, {n.WalkAway, &e.WalkAway}, {n.Asked, &e.Asked}} {
		if x.at == nil {
			continue
		}
		both, err := bid.ExchangeAt(x.at.Price, other, paid, worth)
		if err != nil {
			return err
		}
		*x.to = &both
	}
	return nil
}

// workOutDonor works out the one way of a donor: the worth of its parts stands
// in the place of the sale, and breaking up is the work. Its stops are those of
// buying it as found.
func (in BidInputs) workOutDonor(d *deeper) (WayResult, error) {
	r := WayResult{Depth: catalogue.AsFound, HoldDays: in.Asked.Donor.Days}
	asFound, err := d.scope(catalogue.AsFound, nil)
	if err != nil {
		return r, err
	}
	r.Scope = Scope{Depth: catalogue.AsFound, Stops: asFound.Stops, Unknown: asFound.Unknown}
	r.Dates.Alone.Ready, r.Dates.Queued.Ready = in.At, in.At
	if r.Estimate, err = in.breakingUp(); err != nil {
		return r, err
	}
	sale, err := in.partsOf(&r)
	if err != nil {
		return r, err
	}
	return r, in.price(&r, sale)
}

// breakingUp estimates the work of taking a donor apart and being rid of the
// rest.
func (in BidInputs) breakingUp() (pricing.Estimate, error) {
	donor, terms := in.Asked.Donor, in.Workshop.Terms
	c, err := money.ParseCurrency(terms.Currency)
	if err != nil {
		return pricing.Estimate{}, err
	}
	if _, ok := terms.LabourRates[donor.Skill]; !ok && donor.Hours.High.IsPositive() {
		return pricing.Estimate{}, Faults{{Pointer: "#/donor/skill", Detail: fmt.Sprintf("the workshop has no labour rate for %q", donor.Skill)}}.Err()
	}
	disposal, err := in.amount(donor.Disposal)
	if err != nil {
		return pricing.Estimate{}, err
	}
	h := donor.Hours
	return pricing.EstimateScope([]pricing.Line{
		{Ref: "breaking up", Title: "Broken up for its parts", Chance: one, Skill: donor.Skill, Hours: pricing.Hours{Low: h.Low, Likely: h.Likely, High: h.High}},
		{Ref: "disposal", Title: "Rid of the rest", Chance: one, Outside: &pricing.Outside{Ref: "disposal", Price: pricing.Certain(disposal)}},
	}, pricing.Rates{Currency: c, Labour: terms.LabourRates, Overhead: terms.OverheadRate})
}

// partsOf adds the worth of a donor's parts up as an estimate adds its lines:
// what may not be usable is left out of the low figure, weighed in the likely
// one and whole in the high one.
func (in BidInputs) partsOf(r *WayResult) (saleInDoubt, error) {
	c, err := in.currency()
	if err != nil {
		return saleInDoubt{}, err
	}
	s := saleInDoubt{Range: pricing.ZeroRange(c), basis: fmt.Sprintf("worth of %d parts", len(in.Asked.Donor.Parts))}
	parts := make([]odds.Distribution, 0, len(in.Asked.Donor.Parts))
	for _, p := range in.Asked.Donor.Parts {
		worth, err := rangeOf(p.Worth, c)
		if err != nil {
			return s, err
		}
		counted, err := money.Round(p.Worth.Likely.Mul(p.Usable), c, money.HalfUp)
		if err != nil {
			return s, err
		}
		whole, err := odds.PERT(worth.Low, worth.Likely, worth.High)
		if err != nil {
			return s, err
		}
		part, err := odds.Mixture(odds.Weighted{Weight: p.Usable, Of: whole},
			odds.Weighted{Weight: one.Sub(p.Usable), Of: odds.Certain(money.Zero(c))})
		if err != nil {
			return s, err
		}
		parts = append(parts, part)
		add := pricing.Range{Low: money.Zero(c), Likely: counted, High: worth.High}
		if p.Usable.Equal(one) {
			add.Low = worth.Low
		}
		if p.Usable.IsZero() {
			add.High = money.Zero(c)
		}
		s.Range = s.Range.Add(add)
		r.Parts = append(r.Parts, PartWorth{Name: p.Name, Worth: worth, Usable: p.Usable, Counted: counted})
	}
	if s.Likely.Minor() > pricing.BidLimit || s.High.Minor() > pricing.BidLimit {
		return s, Faults{{Pointer: "#/donor/parts", Detail: "come to more than a bid can reckon with"}}.Err()
	}
	s.doubt, err = odds.Sum(c, parts...)
	return s, err
}
