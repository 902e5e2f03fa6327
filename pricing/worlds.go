package pricing

import (
	"fmt"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// WorldTotal is the hours and costs of one world, all its lines counted in full.
type WorldTotal struct {
	Hours Hours
	Costs Range
}

// Less returns the difference, point by point; it may be negative.
func (t WorldTotal) Less(o WorldTotal) WorldTotal {
	return WorldTotal{
		Hours: Hours{
			Low: t.Hours.Low.Sub(o.Hours.Low), Likely: t.Hours.Likely.Sub(o.Hours.Likely),
			High:     t.Hours.High.Sub(o.Hours.High),
			Expected: t.Hours.Expected.Sub(o.Hours.Expected),
		},
		Costs: Range{
			Low: t.Costs.Low.Sub(o.Costs.Low), Likely: t.Costs.Likely.Sub(o.Costs.Likely),
			High:     t.Costs.High.Sub(o.Costs.High),
			Expected: t.Costs.Expected.Sub(o.Costs.Expected),
		},
	}
}

// WorldTotals returns the hours and costs of each world, by the In of lines and materials; a line
// without In is in all worlds. It returns the errors of [EstimateScope].
func WorldTotals(lines []Line, worlds int, rates Rates) ([]WorldTotal, error) {
	totals := make([]WorldTotal, worlds)
	for i := range totals {
		totals[i].Costs = ZeroRange(rates.Currency)
	}
	for _, l := range lines {
		if err := l.check(rates, worlds); err != nil {
			return nil, err
		}
		for i := range totals {
			if l.In == nil || l.In[i] {
				totals[i].Hours = totals[i].Hours.Add(l.Hours)
			}
		}
		for _, f := range l.factors(rates) {
			in := f.in
			if in == nil {
				in = l.In
			}
			step, err := f.multiply(same(decimal.NewFromInt(1)), decimal.NewFromInt(1), rates.Currency)
			if err != nil {
				return nil, &ValueError{Where: l.Ref, What: f.kind.String() + " " + f.ref, Err: err}
			}
			for i := range totals {
				if in != nil && !in[i] {
					continue
				}
				if totals[i].Costs, err = SumRanges(
					rates.Currency, totals[i].Costs, step.amounts(),
				); err != nil {
					return nil, &ValueError{Where: "estimate", What: "total", Err: err}
				}
			}
		}
	}
	return totals, nil
}

// weightPlaces is how many decimals the weights of worlds have.
const weightPlaces = 15

// weightsOf returns the weights of worlds as multiples of 10⁻¹⁵.
func weightsOf(worlds []decimal.Decimal) []int64 {
	list := make([]int64, len(worlds))
	for i, w := range worlds {
		list[i] = w.Shift(weightPlaces).Round(0).IntPart()
	}
	return list
}

// probabilityOf returns the probability of the given worlds to six decimals; 1 if all are among
// them.
func probabilityOf(in []bool, weights []int64) decimal.Decimal {
	sum, missing := int64(0), false
	for i, there := range in {
		if there {
			sum += weights[i]
		} else {
			missing = true
		}
	}
	if !missing {
		return decimal.NewFromInt(1)
	}
	return money.HalfUp.Decimal(decimal.New(sum, -weightPlaces), 6)
}

// checkWorlds returns an error for an In with another number of worlds than the estimate has.
func checkWorlds(where string, in []bool, worlds int) error {
	if in != nil && len(in) != worlds {
		return &BoundError{
			Where: where, What: "worlds", Value: fmt.Sprint(len(in)), Least: fmt.Sprint(worlds),
			Most: fmt.Sprint(worlds),
		}
	}
	return nil
}
