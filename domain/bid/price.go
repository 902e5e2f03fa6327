package bid

import (
	"context"
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Negotiation is the prices to negotiate with, and how many hours the work may take before each
// loses money.
type Negotiation struct {
	pricing.Negotiation
	// Hours are the break-even hours, where the scope has hours. Bids are stored with this name as
	// the key.
	Hours BreakEvenHours
}

// BreakEvenHours are the person-hours at which nothing is left of the likely sale: the likely
// hours, and what is left over divided by the average cost of an hour.
type BreakEvenHours struct {
	AtTarget *decimal.Decimal `json:"at_target,omitempty"`
	AtAsked  *decimal.Decimal `json:"at_asked,omitempty"`
}

// setPrices sets what to pay, with the sums, and the outcome. Where a finding stops the bid, cost,
// hours, dates, sale and what is asked are all that is told.
func (in Inputs) setPrices(ctx context.Context, r *WayResult, sale uncertainSale) error {
	r.Sale = &sale.Range
	if work := r.priced.estimate.Work().Overall().High(); work.Minor() > pricing.BidLimit {
		return domain.Refuse(
			domain.Invalid, "the work may come to %s, which is more than a bid can compute with", work,
		)
	}
	if r.Outcome == Stopped {
		return nil
	}
	var err error
	sale.tied = odds.Tie(sale.distribution, sale.loading)
	bid, err := in.pricingBid(*r, sale, "")
	if err != nil {
		return err
	}
	advice := bid.Advise()
	r.Advice = &advice
	if err := in.negotiate(r, bid); err != nil {
		return err
	}
	n, terms := r.Negotiation, in.Workshop.Terms
	switch {
	case advice.Verdict != pricing.Buy:
		r.Outcome, r.Why = Leave, advice.Reason.String()
	case n.WalkAway == nil:
		r.Outcome = Leave
		r.Why = fmt.Sprintf(
			"even as a gift a loss is likelier than the %s %% that the workshop accepts",
			terms.LossLimit.Shift(2),
		)
	case n.Aim == nil:
		r.Outcome = Leave
		r.Why = fmt.Sprintf(
			"even as a gift the wanted profit is left less often than in the %s %% of cases that the "+
				"workshop asks for", terms.Uncertainty.Confidence.Shift(2),
		)
	default:
		r.Outcome = Buy
		if says, _ := unlooked(r.Unseen); says != "" {
			r.Outcome, r.Why = Conditional, says+": the prices hold only once somebody has"
		}
	}
	return in.priceLooks(ctx, r, sale)
}

// priceLooks sets what a sound finding would make of the aim at each point that may cost something:
// the case of a donor falls away, or the work of a repair. Dates are those of the bid.
func (in Inputs) priceLooks(ctx context.Context, r *WayResult, sale uncertainSale) error {
	table, err := in.table()
	if err != nil {
		return err
	}
	table.Asked, table.Sealed = nil, true // the aim is all that is needed
	for i := range r.Unseen {
		if err := ctx.Err(); err != nil {
			return err
		}
		x := &r.Unseen[i]
		if x.IfBad == ByLaw || x.Odds.IsZero() {
			continue
		}
		known := *r
		known.priced.estimate, err = r.priced.scope.EstimateGiven(
			r.priced.estimate, in.given(*r, x.Point),
		)
		if err != nil {
			return err
		}
		bid, err := in.pricingBid(known, sale, x.Point)
		if err != nil {
			return err
		}
		n, err := bid.Negotiate(table)
		if err != nil {
			return err
		}
		if n.Aim != nil {
			x.AimIfSound = &n.Aim.Price
		}
	}
	return nil
}

// table returns what the prices of the negotiation depend on besides the bid.
func (in Inputs) table() (pricing.Table, error) {
	terms := in.Workshop.Terms
	table := pricing.Table{
		Sealed: in.Asked.Sealed, LossLimit: terms.LossLimit,
		Confidence: terms.Uncertainty.Confidence, Room: terms.Uncertainty.RoomToMove,
	}
	if in.Asked.SellerAsks != nil {
		price, err := in.amount(*in.Asked.SellerAsks)
		if err != nil {
			return table, err
		}
		table.Asked = &price
	}
	return table, nil
}

func (in Inputs) negotiate(r *WayResult, bid pricing.Bid) error {
	table, err := in.table()
	if err != nil {
		return err
	}
	n, err := bid.Negotiate(table)
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
	r.Negotiation.Hours = BreakEvenHours{AtTarget: hours(n.Aim), AtAsked: hours(n.Asked)}
	if n.Asked != nil {
		r.AtAsked = &n.Asked.Sums
	}
	return in.addFormTerms(r, bid)
}

// pricingBid returns the bid of package pricing for one way, a point that nobody looked at counted
// as sound; empty: none.
func (in Inputs) pricingBid(
	r WayResult, sale uncertainSale, sound catalogue.PointCode,
) (pricing.Bid, error) {
	t := in.Workshop.Terms
	var transport, duty, sellingFixed, perDay, salvage money.Amount
	for _, x := range []struct {
		given decimal.Decimal
		into  *money.Amount
	}{
		{in.Asked.TransportIn, &transport},
		{in.Asked.Duty, &duty},
		{t.SellingFixed, &sellingFixed},
		{t.StoragePerDay, &perDay},
		{in.Asked.UnfitBrings, &salvage},
	} {
		var err error
		if *x.into, err = in.amount(x.given); err != nil {
			return pricing.Bid{}, err
		}
	}
	steps, err := in.steps()
	if err != nil {
		return pricing.Bid{}, err
	}
	premium, err := in.premium()
	if err != nil {
		return pricing.Bid{}, err
	}
	stored := r.HoldDays
	if t.OverheadRate.IsPositive() {
		// The overhead on the hours pays for the premises while the instrument is worked on.
		stored = r.DaysOnFloor
	}
	input := pricing.BidInput{
		Sale: sale.Expected, Work: r.priced.estimate.Costs.Total.Expected,
		Doubt: &pricing.Doubt{
			Sale: sale.tied, Work: r.priced.estimate.Work(),
			Unfit: in.given(r, sound).Unfit, Salvage: salvage,
		},
		SaleBasis: sale.basis,
		Target:    pricing.Portion{Share: t.TargetShare},
		Tax:       pricing.TaxRule{Regime: in.AssumedRegime().Pricing(), Rate: t.TaxRate},
		Premium:   premium,
		Transport: transport,
		Duty:      pricing.Portion{Fixed: duty},
		Selling:   pricing.Portion{Share: t.SellingShare, Fixed: sellingFixed},
		Holding: pricing.Holding{
			AnnualRate: t.FinanceRate, WorkDays: r.HoldDays - r.DaysOnFloor, FloorDays: r.DaysOnFloor,
			WorkShare: t.WorkFinanced, PerDay: perDay, StoredDays: stored,
		},
		Steps: steps,
	}
	in.Asked.applyForm(&input)
	return pricing.NewBid(input)
}

// premium returns the buyer's premium by bands: those of the question, or one band with its share.
func (in Inputs) premium() ([]pricing.PremiumBand, error) {
	if len(in.Asked.Premium) == 0 {
		c, err := in.currency()
		if err != nil {
			return nil, err
		}
		return []pricing.PremiumBand{{From: money.Zero(c), Share: in.Asked.PremiumShare}}, nil
	}
	var list []pricing.PremiumBand
	for _, b := range in.Asked.Premium {
		from, err := in.amount(b.From)
		if err != nil {
			return nil, err
		}
		list = append(list, pricing.PremiumBand{From: from, Share: b.Share})
	}
	return list, nil
}

// steps returns the bidding steps by bands: those of the question, or one band with the workshop's
// step.
func (in Inputs) steps() ([]pricing.BidStep, error) {
	if len(in.Asked.Steps) == 0 {
		step, err := in.amount(in.Workshop.Terms.BiddingStep)
		if err != nil {
			return nil, err
		}
		return []pricing.BidStep{{From: money.Zero(step.Currency()), Step: step}}, nil
	}
	var list []pricing.BidStep
	for _, b := range in.Asked.Steps {
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

func (in Inputs) currency() (money.Currency, error) {
	return money.ParseCurrency(in.Workshop.Terms.Currency)
}

func (in Inputs) amount(d decimal.Decimal) (money.Amount, error) {
	c, err := in.currency()
	if err != nil {
		return money.Amount{}, err
	}
	return money.Round(d, c, money.HalfUp)
}
