package scope

import (
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// DoubtCost is what a Doubt may cost, everything else being found sound: it tells what a look is
// worth.
type DoubtCost struct {
	// Costs are the costs of each of the Doubt's outcomes beyond the soundest, at the low, likely
	// and high figures; negative where an outcome saves.
	Costs []pricing.Range
	// Expected is the expected value of Costs at the likely figures.
	Expected money.Amount
}

// DoubtCosts returns the costs of the doubts of a scope, in their order; none for a scope that was
// read and not drawn. It returns the errors of Estimate.
func DoubtCosts(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
	terms domain.Terms,
) ([]DoubtCost, error) {
	p := s.distribution
	if p == nil || len(s.Doubts) == 0 {
		return nil, nil
	}
	works := []workKey{p.keyOf(p.base)}
	at := map[catalogue.PointCode]int{} // where the drafts of a point's branches begin
	for i, branches := range p.neighbours {
		at[p.doubts[i].point] = len(works)
		for _, other := range branches {
			if other == nil {
				other = p.base // no odds: nothing changes
			}
			works = append(works, p.keyOf(other))
		}
	}
	lines, rates, err := pricingLines(c, in, js, s, terms, works)
	if err != nil {
		return nil, err
	}
	totals, err := pricing.WorldTotals(lines, len(works), rates)
	if err != nil {
		return nil, err
	}
	list := make([]DoubtCost, len(s.Doubts))
	for i, d := range s.Doubts {
		expected := decimal.Zero
		for j, o := range d.Outcomes {
			costs := totals[at[d.Point]+j].Less(totals[0]).Costs
			list[i].Costs = append(list[i].Costs, costs)
			expected = expected.Add(o.Odds.Mul(costs.Likely.Decimal()))
		}
		if list[i].Expected, err = money.Round(expected, rates.Currency, money.HalfUp); err != nil {
			return nil, err
		}
	}
	return list, nil
}
