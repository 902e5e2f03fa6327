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
	time     *odds.Summed // of hundredths of an hour; nil where they are certain
}

// Weights are the probabilities of the worlds of an estimate: over all, and in each stratum of the
// wear; nil where there is one alone. They leave out the cases in which the instrument is unfit.
type Weights struct {
	Overall []decimal.Decimal
	ByWear  *odds.WorldsByWear
	Unfit   *odds.ByWear
}

// Reweighed returns an estimate whose worlds have other probabilities, as after something became
// known: its lines, the sums of them and what the work may come to. It takes a fraction of the time
// of [EstimateWorlds].
// An estimate that was stored and read again, or that is certain, is returned as it is.
func (e Estimate) Reweighed(w Weights) (Estimate, error) {
	if e.basis == nil || e.basis.summed == nil {
		return e, nil
	}
	together := e.basis.together
	together.Worlds, together.Unfit = w.ByWear, w.Unfit
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
	var err error
	if time := e.basis.time; time == nil {
		other.Hours.Low, other.Hours.High = e.Hours.Low, e.Hours.High
	} else if tied, err := time.Weighed(w.ByWear); err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "hours", Err: err}
	} else {
		other.spreadHours(tied, w.Unfit)
	}
	if other.Costs, err = sumCosts(e.Currency, other.Lines); err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	if other.work, err = e.basis.summed.Weighed(w.ByWear); err != nil {
		return Estimate{}, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	total := other.work.WhereFit(w.Unfit)
	other.Costs.Total.Low, other.Costs.Total.High = total.Quantile(tenth), total.Quantile(ninety)
	return other, nil
}
