package pricing

import (
	"fmt"

	"bentside/domain/money"

	"github.com/shopspring/decimal"
)

// weighing is what the worlds of an estimate make of its lines.
type weighing struct {
	weights           []decimal.Decimal
	cheapest, dearest int // worlds; of equals the first
}

// weigh finds the cheapest and the dearest of the worlds.
func weigh(lines []Line, weights []decimal.Decimal, rates Rates) (weighing, error) {
	w := weighing{weights: weights}
	if len(weights) == 0 {
		return w, nil
	}
	totals, err := WorldTotals(lines, len(weights), rates)
	if err != nil {
		return w, err
	}
	for i, t := range totals {
		if t.Costs.Low.Cmp(totals[w.cheapest].Costs.Low) < 0 {
			w.cheapest = i
		}
		if t.Costs.High.Cmp(totals[w.dearest].Costs.High) > 0 {
			w.dearest = i
		}
	}
	return w, nil
}

// WorldTotal is what one world takes and costs, everything in it whole.
type WorldTotal struct {
	Hours Hours
	Costs Range
}

// Less returns the difference, point by point; it may be below nothing.
func (t WorldTotal) Less(o WorldTotal) WorldTotal {
	return WorldTotal{
		Hours: Hours{Low: t.Hours.Low.Sub(o.Hours.Low), Likely: t.Hours.Likely.Sub(o.Hours.Likely), High: t.Hours.High.Sub(o.Hours.High)},
		Costs: Range{Low: t.Costs.Low.Sub(o.Costs.Low), Likely: t.Costs.Likely.Sub(o.Costs.Likely), High: t.Costs.High.Sub(o.Costs.High)},
	}
}

// WorldTotals returns what each of a number of worlds takes and costs, by the In of lines and materials; a line
// without one is in all of them. It returns the errors of [EstimateScope].
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
			step, err := f.multiply(same(decimal.NewFromInt(1)), rates.Currency)
			if err != nil {
				return nil, &ValueError{Where: l.Ref, What: f.kind.String() + " " + f.ref, Err: err}
			}
			for i := range totals {
				if in != nil && !in[i] {
					continue
				}
				if totals[i].Costs, err = SumRanges(rates.Currency, totals[i].Costs, step.amounts()); err != nil {
					return nil, &ValueError{Where: "estimate", What: "total", Err: err}
				}
			}
		}
	}
	return totals, nil
}

// of is what counts of something that the given worlds have; nil: that is
// needed with a chance of its own.
func (w weighing) of(l Line, in []bool, chance decimal.Decimal) points {
	if in == nil || len(w.weights) == 0 {
		return weights(l.Chance)
	}
	p := points{Likely: chance}
	if in[w.cheapest] {
		p.Low = decimal.NewFromInt(1)
	}
	if in[w.dearest] {
		p.High = decimal.NewFromInt(1)
	}
	return p
}

// chance is how likely the worlds are, to six decimals; one where all are
// among them.
func (w weighing) chance(in []bool) decimal.Decimal {
	sum, missing := decimal.Zero, false
	for i, there := range in {
		if there {
			sum = sum.Add(w.weights[i])
		} else {
			missing = true
		}
	}
	if !missing {
		return decimal.NewFromInt(1)
	}
	return money.HalfUp.Decimal(sum, 6)
}

// checkWorlds reports an In that is not of the estimate's worlds.
func checkWorlds(where string, in []bool, worlds int) error {
	if in != nil && len(in) != worlds {
		return &BoundError{Where: where, What: "worlds", Value: fmt.Sprint(len(in)), Least: fmt.Sprint(worlds), Most: fmt.Sprint(worlds)}
	}
	return nil
}
