package domain

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/money"
	"bentside/pricing"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Negotiation is the prices to take into the room, with how many hours the work
// may take before each loses money.
type Negotiation struct {
	pricing.Negotiation
	// Hours are the break-even hours at a price, where the scope has hours.
	Hours BreakEvenHours
}

// BreakEvenHours are the person-hours in all that leave nothing, the likely sale
// taken: the likely hours, and what is left over at the average cost of one.
type BreakEvenHours struct {
	AtTarget *decimal.Decimal `json:"at_target,omitempty"`
	AtAsked  *decimal.Decimal `json:"at_asked,omitempty"`
}

func (in BidInputs) workOutWay(d *deeper, zone *time.Location, way BidWay) (WayResult, error) {
	r := WayResult{Depth: way.Depth}
	terms := in.Workshop.Terms
	var err error
	if r.Scope, err = d.scope(way.Depth, way.Edits); err != nil {
		return r, err
	}
	if r.Undone, err = d.undone(r.Scope, way.Defects); err != nil {
		return r, err
	}
	if r.Estimate, err = EstimateScope(d.c, in.Instrument, d.js, r.Scope, terms); err != nil {
		return r, err
	}
	shop := Shop{Open: in.Workshop.Open, Zone: zone, Stations: in.Stations, People: in.People, Absences: in.Absences}
	if r.Dates, err = DatesOf(d.c, r.Scope, shop, in.At, in.Queue); err != nil {
		return r, err
	}
	r.DaysOnFloor = terms.DaysOnFloor
	if way.DaysOnFloor != nil {
		r.DaysOnFloor = *way.DaysOnFloor
	}
	r.HoldDays = DateOf(in.At.In(zone)).DaysUntil(DateOf(r.Dates.Queued.Ready.In(zone))) + r.DaysOnFloor
	sale, err := in.saleOf(way)
	if err != nil {
		return r, err
	}
	return r, in.price(&r, sale)
}

// price finds what to pay; a stop overrules any price.
func (in BidInputs) price(r *WayResult, sale saleInDoubt) error {
	r.Sale = &sale.Range
	if work := r.Estimate.Costs.Total.Likely; work.Minor() > pricing.BidLimit {
		return Refuse(Invalid, "the work comes to %s, which is more than a bid can reckon with", work)
	}
	bid, err := in.reckon(*r, sale)
	if err != nil {
		return err
	}
	r.Advice = bid.Advise()
	if err := in.negotiate(r, bid, sale); err != nil {
		return err
	}
	stops := in.Asked.standing(r)
	switch {
	case len(stops) > 0:
		r.Outcome, r.Why = Stopped, stops[0].Says
	case r.Advice.Verdict != pricing.Buy:
		r.Outcome, r.Why = Leave, r.Advice.Reason.String()
	case r.Negotiation.WalkAway == nil:
		r.Outcome = Leave
		r.Why = fmt.Sprintf("even as a gift a loss is likelier than the %s %% that the workshop accepts", in.Workshop.Terms.LossLimit.Shift(2))
	default:
		r.Outcome = Buy
	}
	return nil
}

func (in BidInputs) negotiate(r *WayResult, bid pricing.Bid, sale saleInDoubt) error {
	work, err := r.Estimate.Doubt()
	if err != nil {
		return err
	}
	var asked *money.Amount
	if in.Asked.SellerAsks != nil {
		price, err := in.amount(*in.Asked.SellerAsks)
		if err != nil {
			return err
		}
		asked = &price
	}
	n, err := bid.Negotiate(pricing.Doubt{Sale: sale.doubt, Work: work}, in.Workshop.Terms.LossLimit, asked)
	if err != nil {
		return err
	}
	r.Negotiation = &Negotiation{Negotiation: n}
	hours := func(p *pricing.Prospect) *decimal.Decimal {
		if p == nil {
			return nil
		}
		h, some := r.Estimate.HoursAt(p.BreakEvenWork)
		if !some {
			return nil
		}
		return &h
	}
	r.Negotiation.Hours = BreakEvenHours{AtTarget: hours(n.Target), AtAsked: hours(n.Asked)}
	if n.Asked != nil {
		r.AtAsked = &n.Asked.Sums
	}
	return in.followForm(r, bid)
}

// standing are the stops of a way that nobody has cleared.
func (q BidQuestion) standing(r *WayResult) []Stop {
	var stops []Stop
	for _, s := range r.Scope.Stops {
		i := slices.IndexFunc(q.Cleared, func(c Clearance) bool { return s.Point != "" && c.Point == s.Point })
		if i < 0 {
			stops = append(stops, s)
			continue
		}
		r.Cleared = append(r.Cleared, q.Cleared[i])
	}
	return stops
}

// saleInDoubt is what a way should sell for, what is left undone taken off.
type saleInDoubt struct {
	pricing.Range
	doubt odds.Distribution
	basis string
}

// saleOf takes the defects off the sale price of a way: point by point for the
// range, and each by itself for the doubt.
func (in BidInputs) saleOf(way BidWay) (saleInDoubt, error) {
	c, err := in.currency()
	if err != nil {
		return saleInDoubt{}, err
	}
	whole, err := rangeOf(way.sale(), c)
	if err != nil {
		return saleInDoubt{}, err
	}
	s := saleInDoubt{Range: whole}
	if s.doubt, err = odds.PERT(whole.Low, whole.Likely, whole.High); err != nil {
		return s, err
	}
	if len(way.Defects) == 0 {
		return s, nil
	}
	parts := []odds.Distribution{s.doubt}
	s.basis = whole.Likely.String()
	for _, d := range way.Defects {
		off, err := rangeOf(d.Off, c)
		if err != nil {
			return s, err
		}
		part, err := odds.PERT(off.Low, off.Likely, off.High)
		if err != nil {
			return s, err
		}
		parts = append(parts, part.Neg())
		s.Low, s.Likely, s.High = s.Low.Sub(off.High), s.Likely.Sub(off.Likely), s.High.Sub(off.Low)
		s.basis += fmt.Sprintf(" - %s for %s", off.Likely.Text(), d.Name)
	}
	if s.Likely.Sign() < 0 {
		return s, Faults{{Pointer: "#/defects", Detail: fmt.Sprintf("take more off than the likely price of %s", whole.Likely)}}.Err()
	}
	if s.Low.Sign() < 0 {
		s.Low = money.Zero(c)
	}
	s.doubt, err = odds.Sum(c, parts...)
	return s, err
}

// taxRegimes are the regimes in the words of package pricing.
var taxRegimes = map[TaxRegime]pricing.Regime{NoTax: pricing.NoTax, StandardTax: pricing.StandardTax, MarginTax: pricing.MarginScheme}

// reckon puts a way's figures before package pricing.
func (in BidInputs) reckon(r WayResult, sale saleInDoubt) (pricing.Bid, error) {
	t := in.Workshop.Terms
	given := make([]money.Amount, 0, 4)
	for _, d := range []decimal.Decimal{in.Asked.TransportIn, in.Asked.Duty, t.SellingFixed, t.StoragePerDay} {
		a, err := in.amount(d)
		if err != nil {
			return pricing.Bid{}, err
		}
		given = append(given, a)
	}
	transport, duty, sellingFixed, perDay := given[0], given[1], given[2], given[3]
	steps, err := in.steps()
	if err != nil {
		return pricing.Bid{}, err
	}
	premium, err := in.premium()
	if err != nil {
		return pricing.Bid{}, err
	}
	input := pricing.BidInput{
		Sale:      sale.Likely,
		SaleBasis: sale.basis,
		Target:    pricing.Portion{Share: t.TargetShare},
		Tax:       pricing.TaxRule{Regime: taxRegimes[t.TaxRegime], Rate: t.TaxRate},
		Premium:   premium,
		Transport: transport,
		Duty:      pricing.Portion{Fixed: duty},
		Selling:   pricing.Portion{Share: t.SellingShare, Fixed: sellingFixed},
		Work:      r.Estimate.Costs.Total.Likely,
		Holding:   pricing.Holding{AnnualRate: t.FinanceRate, Days: r.HoldDays, PerDay: perDay, WorkShare: t.WorkFinanced},
		Steps:     steps,
	}
	in.Asked.suit(&input)
	return pricing.NewBid(input)
}

func (in BidInputs) premium() ([]pricing.PremiumBand, error) {
	bands := in.Asked.Premium
	if len(bands) == 0 {
		bands = []PremiumBand{{Share: in.Asked.PremiumShare}}
	}
	var list []pricing.PremiumBand
	for _, b := range bands {
		from, err := in.amount(b.From)
		if err != nil {
			return nil, err
		}
		list = append(list, pricing.PremiumBand{From: from, Share: b.Share})
	}
	return list, nil
}

func (in BidInputs) steps() ([]pricing.BidStep, error) {
	bands := in.Asked.Steps
	if len(bands) == 0 {
		bands = []StepBand{{Step: in.Workshop.Terms.BiddingStep}}
	}
	var list []pricing.BidStep
	for _, b := range bands {
		from, err := in.amount(b.From)
		if err != nil {
			return nil, err
		}
		step, err := in.amount(b.Step)
		if err != nil {
			return nil, err
		}
		list = append(list, pricing.BidStep{From: from, Step: step})
	}
	return list, nil
}

func (in BidInputs) currency() (money.Currency, error) {
	return money.ParseCurrency(in.Workshop.Terms.Currency)
}

func (in BidInputs) amount(d decimal.Decimal) (money.Amount, error) {
	c, err := in.currency()
	if err != nil {
		return money.Amount{}, err
	}
	return money.Round(d, c, money.HalfUp)
}
