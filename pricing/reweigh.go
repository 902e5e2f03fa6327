package pricing

import (
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

// basis is what an estimate was made from, kept so that its worlds can be weighed otherwise.
type basis struct {
	lines    []Line
	rates    Rates
	together odds.Together
	summed   *odds.Summed // nil where the total is certain
}

// Weights are the probabilities of the worlds of an estimate: over all, and in each stratum of the
// wear.
type Weights struct {
	Overall []decimal.Decimal
	ByWear  *odds.WorldsByWear
}

// Reweighed returns an estimate whose worlds have other probabilities, as after something became
// known: its lines, the sums of them and what the work may come to. Its hours are expected and
// likely ones alone, without a low and a high. It takes a fraction of the time of [EstimateWorlds].
// An estimate that was stored and read again, or that is certain, is returned as it is.
func (e Estimate) Reweighed(w Weights) (Estimate, error) {
	if e.basis == nil || e.basis.summed == nil {
		return e, nil
	}
	together := e.basis.together
	together.Worlds = w.ByWear
	other := Estimate{Currency: e.Currency, basis: e.basis}
	weights, lengths := weightsOf(w.Overall), together.Lengths()
	for _, line := range e.basis.lines {
		if line.In != nil {
			line.Chance = probabilityOf(line.In, weights)
		}
		costed, err := line.cost(e.basis.rates, weights, lengths)
		if err != nil {
			return Estimate{}, err
		}
		other.Lines = append(other.Lines, costed)
	}
	other.addHours()
	other.Hours.Low, other.Hours.High = decimal.Zero, decimal.Zero
	var err error
	if other.Costs, err = sumCosts(e.Currency, other.Lines); err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	if other.work, err = e.basis.summed.Weighed(w.ByWear); err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	total := other.work.Overall()
	other.Costs.Total.Low, other.Costs.Total.High = total.Quantile(tenth), total.Quantile(ninety)
	return other, nil
}
