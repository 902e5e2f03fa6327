package odds

import (
	"math"
	"sync"

	"github.com/shopspring/decimal"
)

// Wear is how worn an instrument is as a whole: one standard normal variable that no survey shows,
// the same for all of its parts. Given it, everything else is independent: the one-factor Gaussian
// copula of portfolio credit risk (Vasicek, "Probability of loss on loan portfolio", 1987, from
// memory). It is taken in strata, from the least worn to the most.

// Strata is how many strata the wear is taken in: a quarter of a standard deviation each from -3 to
// 3, and the two ends.
const Strata = 26

const (
	strataFrom  = -3.0
	strataWidth = 0.25
	// strataEnd is where the outermost strata are cut off; one case in a hundred thousand lies
	// beyond.
	strataEnd = 4.25
	// substrata is how many places of a stratum a conditional probability is averaged over.
	substrata = 4
)

// ByWear is a probability in each stratum of the wear.
type ByWear [Strata]float64

// stratum is one stratum of the wear.
type stratum struct {
	from, to    float64
	probability float64
	places      [substrata]float64 // where it is looked at
	weights     [substrata]float64 // of the places, adding up to one
}

var strata = func() (list [Strata]stratum) {
	below := 0.0
	for i := range list {
		s := &list[i]
		s.from, s.to = strataFrom+strataWidth*float64(i-1), strataFrom+strataWidth*float64(i)
		up := normalBelow(s.to)
		if i == 0 {
			s.from = -strataEnd
		}
		if i == Strata-1 {
			s.to, up = strataEnd, 1
		}
		s.probability, below = up-below, up
		total := 0.0
		for k := range s.places {
			s.places[k] = s.from + float64((s.to-s.from)*(float64(k)+0.5))/substrata
			s.weights[k] = normalDensity(s.places[k])
			total += s.weights[k]
		}
		for k := range s.weights {
			s.weights[k] /= total
		}
	}
	return list
}()

// Loading converts a rank correlation with the wear (Spearman's ρ, from 0 to 1) to the weight of
// the wear in a normal variable: 2·sin(π·ρ/6), the inverse of ρ = (6/π)·asin(r/2) (Pearson 1907,
// from memory).
func Loading(rank decimal.Decimal) float64 {
	return 2 * sin(float64(math.Pi*min(max(rank.InexactFloat64(), 0), 1))/6)
}

// rest returns the weight of what is not the wear in a normal variable of a loading.
func rest(loading float64) float64 { return math.Sqrt(max(1-float64(loading*loading), 0)) }

// Given returns, for each stratum, the probability of each outcome of something whose outcomes go
// from good to bad and which goes along with the wear by a loading. The outcomes' own
// probabilities, which add up to one, stay as they are over all strata, to 10⁻⁹.
func Given(outcomes []float64, loading float64) [Strata][]float64 {
	var given [Strata][]float64
	cumulative := make([]float64, len(outcomes)) // of the outcomes up to each
	for i, sum := 0, 0.0; i < len(outcomes); i++ {
		sum += outcomes[i]
		cumulative[i] = sum
	}
	for s := range given {
		given[s] = make([]float64, len(outcomes))
	}
	before := [Strata]float64{}
	for i := range outcomes {
		at := conditional(cumulative[i], loading)
		for s := range given {
			given[s][i] = max(at[s]-before[s], 0)
		}
		before = at
	}
	return given
}

// Unconditional returns the probabilities of outcomes over all strata.
func Unconditional(given *[Strata][]float64) []float64 { return WhereFit(given, nil) }

// WhereFit returns the probabilities of outcomes over the strata of the cases that aren't unfit.
func WhereFit(given *[Strata][]float64, unfit *ByWear) []float64 {
	list, fit := make([]float64, len(given[0])), unfit.fit()
	for s := range given {
		for i, probability := range given[s] {
			list[i] += float64(fit[s] * probability)
		}
	}
	return list
}

// fit returns how likely the strata are in the cases that aren't unfit; in all where b is nil.
func (b *ByWear) fit() (list [Strata]float64) {
	all := 0.0
	for s := range strata {
		if list[s] = strata[s].probability; b != nil {
			list[s] *= 1 - b[s]
		}
		all += list[s]
	}
	if b != nil && all > 0 {
		for s := range list {
			list[s] /= all
		}
	}
	return list
}

// conditional returns for each stratum the probability that a normal variable which goes along with
// the wear stays below the threshold that it stays below with probability p in all. The threshold
// is moved until the strata's sum is p again, so that averaging over places changes no odds.
func conditional(p, loading float64) (at [Strata]float64) {
	switch {
	case p <= 0:
		return at
	case p >= 1 || loading == 0:
		for s := range at {
			at[s] = min(p, 1)
		}
		return at
	}
	across := max(rest(loading), 1e-9)
	threshold := normalQuantile(p)
	low, high := -float64(farthest), float64(farthest)
	for step := range 64 { // a few of Newton's steps by the density at the threshold, then halving
		sum := 0.0
		for s := range strata {
			at[s] = 0
			for k, z := range strata[s].places {
				below := normalBelow((threshold - float64(loading*z)) / across)
				at[s] += float64(strata[s].weights[k] * below)
			}
			sum += float64(strata[s].probability * at[s])
		}
		if math.Abs(p-sum) < 1e-13 {
			break
		}
		if sum < p {
			low = threshold
		} else {
			high = threshold
		}
		threshold += (p - sum) / max(normalDensity(threshold), 1e-9)
		if step > 5 || threshold <= low || threshold >= high {
			threshold = (low + high) / 2
		}
	}
	return at
}

// slice is a stretch of a factor with its probability.
type slice struct{ from, to, probability float64 }

// factor returns the slices of a lognormal factor of mean one and a standard deviation. Each slice
// is centred on the factor's mean within it, so that the mean of what it multiplies stays.
func factor(sd float64) []slice {
	if sd == 0 {
		return []slice{{from: 1, to: 1, probability: 1}}
	}
	list := make([]slice, Strata)
	for i, s := range strata {
		list[i] = s.factor(sd)
	}
	return list
}

// factor returns a lognormal factor of mean one, driven by the wear, within a stratum: exp(σz -
// σ²/2) with σ² = ln(1 + sd²).
func (s stratum) factor(sd float64) slice {
	if sd == 0 {
		return slice{from: 1, to: 1, probability: s.probability}
	}
	variance := ln(1 + float64(sd*sd))
	sigma := math.Sqrt(variance)
	at := func(z float64) float64 { return exp(float64(sigma*z) - variance/2) }
	// The mean of the factor within the stratum is the normal probability of the stratum moved down
	// by σ.
	from, to := normalBelow(s.from-sigma), normalBelow(s.to-sigma)
	if s.from == -strataEnd {
		from = 0
	}
	if s.to == strataEnd {
		to = 1
	}
	mean, half := (to-from)/s.probability, (at(s.to)-at(s.from))/2
	return slice{from: mean - half, to: mean + half, probability: s.probability}
}

// StrataOf returns what part of each stratum lies where the wear is not exceeded with a probability
// between from and to.
func StrataOf(from, to float64) (parts [Strata]float64) {
	below := 0.0
	for i, s := range strata {
		above := below + s.probability
		parts[i] = max(min(above, to)-max(below, from), 0) / s.probability
		below = above
	}
	return parts
}

// knownScores holds what normalScores returned, by n.
var knownScores sync.Map

// normalScores returns the standard normal quantiles of the middles of n equal parts.
func normalScores(n int) []float64 {
	if known, ok := knownScores.Load(n); ok {
		return known.([]float64) //nolint:forcetypeassert // nothing else is stored
	}
	scores := make([]float64, n)
	for k := range scores {
		scores[k] = normalQuantile((float64(k) + 0.5) / float64(n))
	}
	knownScores.Store(n, scores)
	return scores
}

// AlongWear lays a stratified sample along the wear by a loading. Slot k of n stands for the k-th
// n-th of the wear, from the least to the most, and order gives each slot its place from 0 to n-1
// had the wear no part in it. The result is loading·z + √(1-loading²)·ε for each slot: ranked by
// it, each place is still taken once.
func AlongWear(order []int, loading float64) []float64 {
	score := make([]float64, len(order))
	normal := normalScores(len(order))
	across := rest(loading)
	for slot, place := range order {
		score[slot] = float64(loading*normal[slot]) + float64(across*normal[place])
	}
	return score
}
