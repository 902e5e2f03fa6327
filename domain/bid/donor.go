package bid

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// Donor is what breaking an instrument up yields and costs.
type Donor struct {
	Parts    []DonorPart          `json:"parts"`
	Hours    catalogue.ThreePoint `json:"hours"` // person-hours of breaking up
	Skill    string               `json:"skill"` // of whoever does it
	Disposal decimal.Decimal      `json:"disposal"`
	Days     int                  `json:"days"` // until the parts are used or sold
}

// DonorPart is a part of a donor. It is worth what a replacement would cost, net of tax; Usable is
// the probability that it can be used.
type DonorPart struct {
	Name   string               `json:"name"`
	Worth  catalogue.ThreePoint `json:"worth"`
	Usable decimal.Decimal      `json:"usable"`
}

// PartWorth is what a part of a donor counts for.
type PartWorth struct {
	Name    string          `json:"name"`
	Worth   pricing.Range   `json:"worth"`
	Usable  decimal.Decimal `json:"usable"`
	Counted money.Amount    `json:"counted"` // the likely worth times the probability
}

// maxParts is the most parts that a donor may have.
const maxParts = 100

// maxHours is more than any instrument takes.
var maxHours = decimal.NewFromInt(10_000)

func (d Donor) check(f *moneyFaults) {
	if len(d.Parts) == 0 || len(d.Parts) > maxParts {
		f.Add("#/donor/parts", "must name from 1 to %d parts", maxParts)
	}
	for i, p := range d.Parts {
		at := fmt.Sprintf("#/donor/parts/%d", i)
		if p.Name == "" || utf8.RuneCountInString(p.Name) > domain.MaxName {
			f.Add(at+"/name", "must be given, in at most %d characters", domain.MaxName)
		}
		f.checkThreePoint(at+"/worth", p.Worth)
		f.CheckShare(at+"/usable", p.Usable)
	}
	h := d.Hours
	if h.Low.IsNegative() || h.Likely.LessThan(h.Low) || h.High.LessThan(h.Likely) ||
		h.High.GreaterThan(maxHours) || slices.ContainsFunc(
		[]decimal.Decimal{h.Low, h.Likely, h.High},
		func(v decimal.Decimal) bool { return domain.HasMoreDecimals(v, domain.RatePlaces) },
	) {
		f.Add("#/donor/hours",
			"must rise from low over likely to high, from 0 to %s hours with at most %d decimals",
			maxHours, domain.RatePlaces)
	}
	f.checkAmount("#/donor/disposal", d.Disposal)
	if d.Days < 0 || d.Days > domain.MaxDaysOnFloor {
		f.Add("#/donor/days", "must be from 0 to %d days, not %d", domain.MaxDaysOnFloor, d.Days)
	}
}

// computeDonor returns the one way of a donor: the worth of its parts replaces the sale, and
// breaking it up is the work. Its stops are those of buying it as found.
func (in Inputs) computeDonor(ctx context.Context, d *depthScopes) (WayResult, error) {
	r := WayResult{Depth: catalogue.AsFound, HoldDays: in.Asked.Donor.Days}
	asFound, err := d.scope(catalogue.AsFound, nil)
	if err != nil {
		return r, err
	}
	r.Scope = scope.Scope{Depth: catalogue.AsFound, Stops: asFound.Stops, Unknown: asFound.Unknown}
	r.Dates.Alone.Ready, r.Dates.Queued.Ready = in.At, in.At
	if err = in.stop(&r); err != nil {
		return r, err
	}
	if r.Estimate, err = in.breakingUp(); err != nil {
		return r, err
	}
	r.priced = pricedWork{r.Scope, r.Estimate}
	sale, err := in.partsWorth(&r)
	if err != nil {
		return r, err
	}
	return r, in.setPrices(ctx, &r, sale)
}

// breakingUp estimates the work of taking a donor apart and disposing of the rest. The titles are
// stored with the bid.
func (in Inputs) breakingUp() (pricing.Estimate, error) {
	donor, terms := in.Asked.Donor, in.Workshop.Terms
	c, err := money.ParseCurrency(terms.Currency)
	if err != nil {
		return pricing.Estimate{}, err
	}
	if _, ok := terms.LabourRates[donor.Skill]; !ok && donor.Hours.High.IsPositive() {
		return pricing.Estimate{}, domain.Faults{
			{
				Pointer: "#/donor/skill",
				Detail: fmt.Sprintf("%q has no labour rate of the workshop; use %s", donor.Skill,
					strings.Join(slices.Sorted(maps.Keys(terms.LabourRates)), ", ")),
			},
		}.Err()
	}
	disposal, err := in.amount(donor.Disposal)
	if err != nil {
		return pricing.Estimate{}, err
	}
	h := donor.Hours
	return pricing.EstimateScope([]pricing.Line{
		{
			Ref: "breaking up", Title: "Broken up for its parts", Chance: domain.One,
			Skill: donor.Skill, Hours: pricing.Hours{Low: h.Low, Likely: h.Likely, High: h.High},
		},
		{
			Ref: "disposal", Title: "Rid of the rest", Chance: domain.One,
			Outside: &pricing.Outside{Ref: "disposal", Price: pricing.Certain(disposal)},
		},
	}, pricing.Rates{
		Currency: c, Labour: terms.LabourRates, Overhead: terms.OverheadRate,
	}, terms.Together())
}

// partsWorth adds up the worth of a donor's parts as an estimate adds up its lines: parts that may
// not be usable are weighed by their probability.
func (in Inputs) partsWorth(r *WayResult) (uncertainSale, error) {
	c, err := in.currency()
	if err != nil {
		return uncertainSale{}, err
	}
	s := uncertainSale{
		Range: pricing.ZeroRange(c),
		basis: fmt.Sprintf("worth of %d parts", len(in.Asked.Donor.Parts)),
	}
	parts := make([]odds.Distribution, 0, len(in.Asked.Donor.Parts))
	for _, p := range in.Asked.Donor.Parts {
		worth, err := scope.RangeOf(p.Worth, c)
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
			odds.Weighted{Weight: domain.One.Sub(p.Usable), Of: odds.Certain(money.Zero(c))})
		if err != nil {
			return s, err
		}
		parts = append(parts, part)
		s.Likely = s.Likely.Add(counted)
		r.Parts = append(
			r.Parts, PartWorth{Name: p.Name, Worth: worth, Usable: p.Usable, Counted: counted},
		)
	}
	if s.distribution, err = odds.Sum(c, parts...); err != nil {
		return s, err
	}
	s.describe()
	if s.distribution.High().Minor() > pricing.BidLimit {
		return s, domain.Faults{
			{Pointer: "#/donor/parts", Detail: "must be worth no more in all than a bid can compute with"},
		}.Err()
	}
	return s, nil
}
