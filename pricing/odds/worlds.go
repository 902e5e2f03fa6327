package odds

import (
	"bentside/domain/money"

	"github.com/shopspring/decimal"
)

// Part is an amount that is due in some worlds and not in others.
type Part struct {
	Of Distribution
	In []bool // for each world
}

// worldPoints is how many points the grid of what differs between worlds has at most.
const worldPoints = 512

// Worlds returns the distribution of the total of independent amounts of which a world decides which are due; the
// worlds exclude one another, and their weights are their chances. It is the mixture over the worlds of the sums of
// their parts. It returns [*WeightError], [*money.MismatchError] or [*money.RangeError].
//
// What is due in every world is added once. For the rest, the worlds are parted by one amount after another, so that
// worlds which share their first amounts share the reckoning; it takes at most as many products for each amount and
// world as that amount has points on a grid of worldPoints.
func Worlds(c money.Currency, weights []decimal.Decimal, parts []Part) (Distribution, error) {
	all := make([]int, len(weights))
	total := decimal.Zero
	chances := make([]float64, len(weights))
	for i, w := range weights {
		if w.IsNegative() {
			return Distribution{}, &WeightError{Weight: w}
		}
		all[i], chances[i], total = i, w.InexactFloat64(), total.Add(w)
	}
	if !total.Equal(decimal.NewFromInt(1)) {
		return Distribution{}, &WeightError{Weight: total}
	}
	var everywhere []Distribution
	s := sorting{chances: chances}
	span := int64(0)
	for _, p := range parts {
		if p.Of.currency != c || c.IsZero() {
			return Distribution{}, &money.MismatchError{Want: c, Got: p.Of.currency}
		}
		switch here, missing := p.due(all); {
		case len(missing) == 0:
			everywhere = append(everywhere, p.Of)
		case len(here) > 0:
			s.parts = append(s.parts, p)
			span += p.Of.High().Minor()
		}
	}
	if len(s.parts) == 0 {
		return Sum(c, everywhere...)
	}
	s.step = stepFor(span, worldPoints-len(s.parts))
	for i := range s.parts {
		s.parts[i].Of = s.parts[i].Of.fromZero(s.step)
	}
	differs := Distribution{currency: c, step: s.step, mass: s.mix(all, 0)}
	if err := differs.check(); err != nil {
		return Distribution{}, err
	}
	return Sum(c, append(everywhere, differs)...)
}

// due parts worlds by whether an amount is due there.
func (p Part) due(worlds []int) (here, missing []int) {
	for _, w := range worlds {
		if p.In[w] {
			here = append(here, w)
		} else {
			missing = append(missing, w)
		}
	}
	return here, missing
}

// fromZero lays an amount that is not below nothing on a grid that starts there.
func (d Distribution) fromZero(step int64) Distribution {
	laid := Distribution{currency: d.currency, step: step, mass: make([]float64, (d.High().Minor()+step-1)/step+1)}
	laid.layAll(d, 1)
	return laid
}

// sorting is the amounts that differ between worlds, on one grid.
type sorting struct {
	chances []float64
	parts   []Part
	step    int64
}

// mix returns the mass of the parts from one on, over the given worlds with their chances.
func (s sorting) mix(worlds []int, from int) []float64 {
	for from < len(s.parts) {
		here, missing := s.parts[from].due(worlds)
		from++
		if len(here) == 0 {
			continue
		}
		with := Distribution{step: s.step, mass: s.mix(here, from)}.plus(Distribution{step: s.step, mass: s.parts[from-1].Of.mass}).mass
		if len(missing) == 0 {
			return with
		}
		without := s.mix(missing, from)
		if len(without) > len(with) {
			with, without = without, with
		}
		for i, m := range without {
			with[i] += m
		}
		return with
	}
	mass := 0.0
	for _, w := range worlds {
		mass += s.chances[w]
	}
	return []float64{mass}
}
