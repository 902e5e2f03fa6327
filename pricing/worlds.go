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
	low, high := make([]int64, len(weights)), make([]int64, len(weights))
	for _, l := range lines {
		for _, f := range l.factors(rates) {
			in := f.in
			if in == nil {
				in = l.In
			}
			if in == nil {
				continue // the same in every world
			}
			step, err := f.multiply(same(decimal.NewFromInt(1)), rates.Currency)
			if err != nil {
				return w, &ValueError{Where: l.Ref, What: f.kind.String() + " " + f.ref, Err: err}
			}
			for i, there := range in {
				if there {
					low[i] += step.Low.Amount.Minor()
					high[i] += step.High.Amount.Minor()
				}
			}
		}
	}
	for i := range weights {
		if low[i] < low[w.cheapest] {
			w.cheapest = i
		}
		if high[i] > high[w.dearest] {
			w.dearest = i
		}
	}
	return w, nil
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
