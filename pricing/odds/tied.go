package odds

import (
	"bentside/pricing/money"
)

// Tied is an amount that goes along with the wear of the instrument: a distribution for each
// stratum of it. Two tied amounts are independent within a stratum, and so dependent over all.
type Tied struct {
	given [Strata]Distribution
}

// Untied returns an amount that the wear doesn't change.
func Untied(d Distribution) Tied {
	var t Tied
	for i := range t.given {
		t.given[i] = d
	}
	return t
}

// Tie lets an amount fall as the wear rises, by a loading from 0 to 1 (see [Loading]): in the
// copula, its normal variable is -loading·z + √(1-loading²)·ε. Its own distribution over all strata
// stays as it is.
func Tie(d Distribution, loading float64) Tied {
	if loading == 0 || len(d.mass) < 2 {
		return Untied(d)
	}
	var given [Strata][]float64
	for s := range given {
		given[s] = make([]float64, len(d.mass))
	}
	across := max(rest(loading), 1e-9)
	before, cumulative := [Strata]float64{}, 0.0
	for i, m := range d.mass {
		if cumulative += m; m == 0 && cumulative < 1-slack {
			continue
		}
		threshold := float64(farthest)
		if i < len(d.mass)-1 {
			threshold = normalQuantile(cumulative)
		}
		for s, stratum := range strata {
			at := 1.0
			if i < len(d.mass)-1 {
				at = 0
				for k, z := range stratum.places {
					at += float64(stratum.weights[k] * normalBelow((threshold+float64(loading*z))/across))
				}
			}
			given[s][i], before[s] = max(at-before[s], 0), at
		}
	}
	// Averaging over places leaves traces; fitting rows and columns in turn takes them out (Deming
	// and Stephan 1940, from memory).
	for range 4 {
		for i, m := range d.mass {
			sum := 0.0
			for s := range given {
				sum += float64(strata[s].probability * given[s][i])
			}
			if sum > 0 {
				for s := range given {
					given[s][i] *= m / sum
				}
			}
		}
		for s := range given {
			sum := 0.0
			for _, m := range given[s] {
				sum += m
			}
			for i := range given[s] {
				given[s][i] /= sum
			}
		}
	}
	var t Tied
	for s := range t.given {
		t.given[s] = Distribution{currency: d.currency, origin: d.origin, step: d.step, mass: given[s]}
	}
	return t
}

// Overall returns the distribution over all strata.
func (t Tied) Overall() Distribution { return t.WhereFit(nil) }

// WhereFit returns the distribution over the strata of the cases that aren't unfit.
func (t Tied) WhereFit(unfit *ByWear) Distribution {
	return t.mixed(unfit.fit(), t.given[0].Low(), 0)
}

// mixed returns the mixture of the strata with weights and of a known amount with what is left.
func (t Tied) mixed(weights [Strata]float64, other money.Amount, left float64) Distribution {
	low, high, step := t.given[0].origin, t.given[0].High().Minor(), t.given[0].step
	for _, d := range t.given {
		low, high, step = min(low, d.origin), max(high, d.High().Minor()), max(step, d.step)
	}
	if left > 0 {
		low, high = min(low, other.Minor()), max(high, other.Minor())
	}
	step = max(step, stepFor(high-low, 2*MaxPoints))
	overall := Distribution{
		currency: t.given[0].currency, origin: low, step: step,
		mass: make([]float64, (high-low+step-1)/step+1),
	}
	for s, d := range t.given {
		overall.layAll(d, weights[s])
	}
	if left > 0 {
		overall.lay(float64(other.Minor()-low), left)
	}
	return overall
}

// Currency returns the currency of the amounts.
func (t Tied) Currency() money.Currency { return t.given[0].currency }
