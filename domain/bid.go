package domain

import (
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"

	"github.com/shopspring/decimal"
)

// Engine is the version of what turns BidInputs into a BidResult. It changes
// with every change that could give another result from the same inputs.
const Engine = "2"

// BidInputs is everything that a bid follows from. Stored as a document, it
// gives the same result after any later edit of what it was taken from.
type BidInputs struct {
	Engine     string       `json:"engine"`
	Catalogue  string       `json:"catalogue"` // SHA-256 of the catalogue's document, in hex
	At         time.Time    `json:"at"`        // the date that plans start from
	Workshop   Workshop     `json:"workshop"`
	Stations   []Station    `json:"stations"`
	Instrument Instrument   `json:"instrument"`
	Findings   []Finding    `json:"findings"`
	Queue      []QueuedWork `json:"queue"` // jobs in progress, first in the queue first
	Asked      BidQuestion  `json:"asked"`
}

// BidQuestion is what the buyer says about the purchase. Amounts are in the
// workshop's currency.
type BidQuestion struct {
	TransportIn  decimal.Decimal  `json:"transport_in"`
	PremiumShare decimal.Decimal  `json:"premium_share"`         // buyer's premium on the price, 0.25 = 25 %
	Duty         decimal.Decimal  `json:"duty"`                  // irrecoverable
	SellerAsks   *decimal.Decimal `json:"seller_asks,omitempty"` // to see what is left at that price
	Cleared      []Clearance      `json:"cleared,omitempty"`     // stops that somebody has looked into
	Ways         []BidWay         `json:"ways"`
}

// Clearance is a named person's word that what stops a bid at a survey point
// has been looked into, and what was found: a registration, a specialist's
// report. It is recorded, and it is that person's to answer for.
type Clearance struct {
	Point catalogue.PointCode `json:"point"`
	By    string              `json:"by"`
	Why   string              `json:"why"`
}

// BidWay is one depth to look at, with what the instrument would sell for when
// finished so.
type BidWay struct {
	Depth     catalogue.Depth `json:"depth"`
	SalePrice decimal.Decimal `json:"sale_price"`
	Edits     []Edit          `json:"edits,omitempty"`
}

// QueuedWork is what is left of a job in progress.
type QueuedWork struct {
	Name     string    `json:"name"`
	Accepted time.Time `json:"accepted"` // parts for it were ordered then
	Scope    Scope     `json:"scope"`    // only the lines that are left, with the hours left
	// Held is when a job that rests as a whole is expected to be taken up again.
	Held      time.Time       `json:"held,omitzero"`
	Suspended []SuspendedWork `json:"suspended,omitempty"`
}

// Outcome is what a way of buying comes to.
type Outcome string

// Buy: a price works. Leave: none does. Stopped: a finding forbids a bid until
// it is cleared.
const (
	Buy     Outcome = "buy"
	Leave   Outcome = "leave"
	Stopped Outcome = "stopped"
)

// BidResult is the depths side by side.
type BidResult struct {
	Judgements Judgements  `json:"judgements"`
	Ways       []WayResult `json:"ways"`
}

// WayResult is one depth worked out.
type WayResult struct {
	Depth    catalogue.Depth  `json:"depth"`
	Outcome  Outcome          `json:"outcome"`
	Why      string           `json:"why"`
	Scope    Scope            `json:"scope"`
	Estimate pricing.Estimate `json:"estimate"`
	Dates    Dates            `json:"dates"`
	HoldDays int              `json:"hold_days"` // from the purchase to the expected sale
	// Advice is the price that keeps the wanted profit, the break-even and the
	// trade's rule of thumb, each followed through.
	Advice pricing.Advice `json:"advice"`
	// Cleared are the stops of the scope that somebody has looked into.
	Cleared []Clearance `json:"cleared,omitempty"`
	// AtAsked follows the seller's price through to its profit; nil where the
	// seller named none.
	AtAsked *pricing.Sums `json:"at_asked,omitempty"`
}

// Canonical is the one encoding of the inputs: fields in the order of the
// types, maps by key, decimals as strings.
func (in BidInputs) Canonical() []byte { return canonical(in) }

// Canonical is the one encoding of the result.
func (r BidResult) Canonical() []byte { return canonical(r) }

func canonical(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("a document cannot be written: %v", err))
	}
	return b
}

// ParseBidInputs reads what Canonical wrote.
func ParseBidInputs(b []byte) (BidInputs, error) {
	var in BidInputs
	err := json.Unmarshal(b, &in)
	return in, err
}

// ParseBidResult reads what Canonical wrote.
func ParseBidResult(b []byte) (BidResult, error) {
	var r BidResult
	err := json.Unmarshal(b, &r)
	return r, err
}

// WorkOut works out a bid from its inputs, with the catalogue that they name
// and the workshop's zone. It is a function of its arguments and nothing else.
func WorkOut(in BidInputs, c *catalogue.Catalogue, zone *time.Location) (BidResult, error) {
	if err := in.Asked.check(in.Workshop.Terms.Currency); err != nil {
		return BidResult{}, err
	}
	js, err := Judge(c, in.Instrument.Kind, in.Findings)
	if err != nil {
		return BidResult{}, err
	}
	r := BidResult{Judgements: js}
	for i, way := range in.Asked.Ways {
		w, err := in.workOutWay(c, zone, js, way)
		if err != nil {
			return BidResult{}, PointersUnder(err, fmt.Sprintf("#/ways/%d", i))
		}
		r.Ways = append(r.Ways, w)
	}
	return r, nil
}

func (in BidInputs) workOutWay(c *catalogue.Catalogue, zone *time.Location, js Judgements, way BidWay) (WayResult, error) {
	r := WayResult{Depth: way.Depth}
	terms := in.Workshop.Terms
	var err error
	if r.Scope, err = Draw(c, in.Instrument, js, way.Depth, way.Edits, terms.UnknownOdds); err != nil {
		return r, err
	}
	if r.Estimate, err = EstimateScope(c, in.Instrument, js, r.Scope, terms); err != nil {
		return r, err
	}
	shop := Shop{Open: in.Workshop.Open, Zone: zone, Stations: in.Stations}
	if r.Dates, err = DatesOf(c, r.Scope, shop, in.At, in.Queue); err != nil {
		return r, err
	}
	r.HoldDays = DateOf(in.At.In(zone)).DaysUntil(DateOf(r.Dates.Queued.Ready.In(zone))) + terms.DaysOnFloor
	return r, in.price(&r, way)
}

// price finds what to pay; a stop overrules any price.
func (in BidInputs) price(r *WayResult, way BidWay) error {
	bid, err := in.reckon(*r, way)
	if err != nil {
		return err
	}
	r.Advice = bid.Advise()
	stops := in.Asked.standing(r)
	switch {
	case len(stops) > 0:
		r.Outcome, r.Why = Stopped, stops[0].Says
	case r.Advice.Verdict == pricing.Buy:
		r.Outcome = Buy
	default:
		r.Outcome, r.Why = Leave, r.Advice.Reason.String()
	}
	if in.Asked.SellerAsks == nil {
		return nil
	}
	asked, err := in.amount(*in.Asked.SellerAsks)
	if err != nil {
		return err
	}
	sums, err := bid.ProfitAt(asked)
	r.AtAsked = &sums
	return err
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

// workFinanced is how much of the work counts as capital tied up from purchase
// to sale: work is paid for as it is done, so half (common practice, no source).
var workFinanced = decimal.RequireFromString("0.5")

// taxRegimes are the regimes in the words of package pricing.
var taxRegimes = map[TaxRegime]pricing.Regime{NoTax: pricing.NoTax, StandardTax: pricing.StandardTax, MarginTax: pricing.MarginScheme}

// reckon puts a way's figures before package pricing.
func (in BidInputs) reckon(r WayResult, way BidWay) (pricing.Bid, error) {
	t := in.Workshop.Terms
	sale, err := in.amount(way.SalePrice)
	if err != nil {
		return pricing.Bid{}, err
	}
	given := make([]money.Amount, 0, 5)
	for _, d := range []decimal.Decimal{in.Asked.TransportIn, in.Asked.Duty, t.SellingFixed, t.StoragePerDay, t.BiddingStep} {
		a, err := in.amount(d)
		if err != nil {
			return pricing.Bid{}, err
		}
		given = append(given, a)
	}
	transport, duty, sellingFixed, perDay, step := given[0], given[1], given[2], given[3], given[4]
	return pricing.NewBid(pricing.BidInput{
		Sale:      sale,
		Target:    pricing.Portion{Share: t.TargetShare},
		Tax:       pricing.TaxRule{Regime: taxRegimes[t.TaxRegime], Rate: t.TaxRate},
		Premium:   pricing.FlatPremium(in.Asked.PremiumShare, sale.Currency()),
		Transport: transport,
		Duty:      pricing.Portion{Fixed: duty},
		Selling:   pricing.Portion{Share: t.SellingShare, Fixed: sellingFixed},
		Work:      r.Estimate.Costs.Total.Likely,
		Holding:   pricing.Holding{AnnualRate: t.FinanceRate, Days: r.HoldDays, PerDay: perDay, WorkShare: workFinanced},
		Steps:     pricing.EvenSteps(step),
	})
}

func (in BidInputs) amount(d decimal.Decimal) (money.Amount, error) {
	c, err := money.ParseCurrency(in.Workshop.Terms.Currency)
	if err != nil {
		return money.Amount{}, err
	}
	return money.Round(d, c, money.HalfUp)
}

// check looks at what the buyer said, all faults at once.
func (q BidQuestion) check(currency string) error {
	var f Faults
	c, err := money.ParseCurrency(currency)
	if err != nil {
		return err
	}
	amount := func(pointer string, v decimal.Decimal) {
		a, err := money.Round(v, c, money.HalfUp)
		switch {
		case err != nil || v.IsNegative() || a.Minor() > pricing.BidLimit:
			f.Add(pointer, "%s is no amount to reckon with", v)
		case !a.Decimal().Equal(v):
			f.Add(pointer, "%s has more decimals than %s", v, currency)
		}
	}
	amount("#/transport_in", q.TransportIn)
	amount("#/duty", q.Duty)
	if q.SellerAsks != nil {
		amount("#/seller_asks", *q.SellerAsks)
	}
	if q.PremiumShare.IsNegative() || q.PremiumShare.GreaterThan(one) {
		f.Add("#/premium_share", "%s is no share; it lies from 0 to 1 (0.25 is 25 %%)", q.PremiumShare)
	}
	for i, c := range q.Cleared {
		if c.By == "" || c.Why == "" {
			f.Add(fmt.Sprintf("#/cleared/%d", i), "needs the person who looked into it and what was found")
		}
	}
	if len(q.Ways) == 0 {
		f.Add("#/ways", "must name at least one depth with a sale price")
	}
	for i, w := range q.Ways {
		if !slices.Contains(catalogue.Depths, w.Depth) {
			f.Add(fmt.Sprintf("#/ways/%d/depth", i), "is none of as_found, recondition, restore")
		}
		amount(fmt.Sprintf("#/ways/%d/sale_price", i), w.SalePrice)
	}
	return f.Err()
}
