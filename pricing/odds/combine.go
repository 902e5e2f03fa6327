package odds

import (
	"fmt"
	"math"
	"slices"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Weighted is one of several amounts that exclude one another, with its chance.
type Weighted struct {
	Weight decimal.Decimal
	Of     Distribution
}

// WeightError reports weights that aren't probabilities: one is negative, or they don't add up to
// one.
type WeightError struct {
	Weight decimal.Decimal // the negative one, or the sum
}

// Error gives the weight or the sum.
func (e *WeightError) Error() string {
	if e.Weight.IsNegative() {
		return fmt.Sprintf("a weight of %v is negative", e.Weight)
	}
	return fmt.Sprintf("weights come to %v, must come to 1", e.Weight)
}

// Mixture returns the distribution of an amount that is one of the parts, each with the chance that
// is its weight. It returns [*WeightError], [*money.MismatchError] when currencies differ, or
// [*money.RangeError].
func Mixture(parts ...Weighted) (Distribution, error) {
	total := decimal.Zero
	var only []Weighted // with a weight
	low, high := int64(math.MaxInt64), int64(math.MinInt64)
	for _, p := range parts {
		if p.Weight.IsNegative() {
			return Distribution{}, &WeightError{Weight: p.Weight}
		}
		if total = total.Add(p.Weight); p.Weight.IsZero() {
			continue
		}
		only = append(only, p)
		low, high = min(low, p.Of.Low().Minor()), max(high, p.Of.High().Minor())
	}
	if !total.Equal(decimal.NewFromInt(1)) {
		return Distribution{}, &WeightError{Weight: total}
	}
	if len(only) == 1 {
		return only[0].Of, nil
	}
	c := only[0].Of.currency
	mixed := blank(c, low, high-low, MaxPoints)
	for _, p := range only {
		if p.Of.currency != c || c.IsZero() {
			return Distribution{}, &money.MismatchError{Want: c, Got: p.Of.currency}
		}
		mixed.layAll(p.Of, p.Weight.InexactFloat64())
	}
	return mixed, mixed.check()
}

// sumAtOnce is how many distributions are added on one grid; each may lose one point to its place
// on it.
const sumAtOnce = MaxPoints / 8

// Sum returns the distribution of the total of independent amounts, all in the currency c; none
// give nothing. It returns [*money.MismatchError], or [*money.RangeError] beyond [money.Limit].
//
// The parts are laid on one grid and convolved one after another, which takes at most MaxPoints²
// products, however many parts there are.
func Sum(c money.Currency, parts ...Distribution) (Distribution, error) {
	for len(parts) > sumAtOnce {
		first, err := Sum(c, parts[:sumAtOnce]...)
		if err != nil {
			return Distribution{}, err
		}
		parts = append([]Distribution{first}, parts[sumAtOnce:]...)
	}
	span := int64(0)
	for _, p := range parts {
		if p.currency != c || c.IsZero() {
			return Distribution{}, &money.MismatchError{Want: c, Got: p.currency}
		}
		span += p.span()
	}
	if len(parts) == 1 {
		return parts[0], nil
	}
	total := Certain(money.Zero(c))
	total.step = stepFor(span, MaxPoints-len(parts))
	for _, p := range parts {
		total = total.plus(p.onStep(total.step))
		if err := total.check(); err != nil {
			return Distribution{}, err
		}
	}
	return total, nil
}

// plus convolves two distributions of one step.
func (d Distribution) plus(o Distribution) Distribution {
	sum := Distribution{
		currency: d.currency, origin: d.origin + o.origin, step: d.step,
		mass: make([]float64, len(d.mass)+len(o.mass)-1),
	}
	for j, m := range o.mass {
		if m == 0 {
			continue
		}
		to := sum.mass[j : j+len(d.mass)]
		for i, n := range d.mass {
			to[i] += float64(m * n)
		}
	}
	return sum
}

// Shift returns the amount with a known one added. It panics with [*money.MismatchError] when the
// currencies differ, and with [*money.RangeError] when the sum leaves int64.
func (d Distribution) Shift(a money.Amount) Distribution {
	d.origin = d.Low().Add(a).Minor()
	return d
}

// Neg returns the amount with the other sign, so that Sum takes it off.
func (d Distribution) Neg() Distribution {
	turned := Distribution{
		currency: d.currency, origin: d.High().Neg().Minor(), step: d.step,
		mass: slices.Clone(d.mass),
	}
	slices.Reverse(turned.mass)
	return turned
}

// Scale returns the amount multiplied by a factor that is not negative; nothing is left of it at
// zero. It returns [*WeightError] for a negative factor, or [*money.RangeError] beyond
// [money.Limit].
func (d Distribution) Scale(factor decimal.Decimal) (Distribution, error) {
	if factor.IsNegative() {
		return Distribution{}, &WeightError{Weight: factor}
	}
	low, err := money.Round(d.Low().Decimal().Mul(factor), d.currency, money.HalfUp)
	if err != nil {
		return Distribution{}, err
	}
	high, err := money.Round(d.High().Decimal().Mul(factor), d.currency, money.Up)
	if err != nil {
		return Distribution{}, err
	}
	f := factor.InexactFloat64()
	scaled := blank(d.currency, low.Minor(), max(high.Minor()-low.Minor(), 0), MaxPoints)
	for i, m := range d.mass {
		scaled.lay(float64(float64(int64(i)*d.step)*f), m)
	}
	return scaled, scaled.check()
}

// blank returns a grid from origin over a span at least, with at most points points and nothing on
// it.
func blank(c money.Currency, origin, span int64, points int) Distribution {
	step := stepFor(span, points)
	return Distribution{
		currency: c, origin: origin, step: step, mass: make([]float64, (span+step-1)/step+1),
	}
}

// stepFor returns the narrowest step at which a span needs at most points points.
func stepFor(span int64, points int) int64 {
	intervals := int64(points - 1)
	return max((span+intervals-1)/intervals, 1)
}

func (d Distribution) span() int64 { return d.step * int64(len(d.mass)-1) }

// onStep lays a distribution on a grid of another step from the same origin.
func (d Distribution) onStep(step int64) Distribution {
	if step == d.step {
		return d
	}
	span := d.span()
	laid := Distribution{
		currency: d.currency, origin: d.origin, step: step,
		mass: make([]float64, (span+step-1)/step+1),
	}
	laid.layAll(d, 1)
	return laid
}

// layAll lays all of a distribution on the grid, its mass times a weight.
func (d Distribution) layAll(o Distribution, weight float64) {
	for i, m := range o.mass {
		if m != 0 {
			d.lay(float64(o.origin-d.origin+int64(i)*o.step), float64(m*weight))
		}
	}
}

// lay puts a mass on the grid, at a place in minor units above the origin. Between two points it is
// split so that the mean stays.
func (d Distribution) lay(above, mass float64) {
	at := above / float64(d.step)
	i := int(math.Floor(at))
	if i >= len(d.mass)-1 { // on the last point, or past it by a rounding
		d.mass[len(d.mass)-1] += mass
		return
	}
	upper := float64(mass * (at - float64(i)))
	d.mass[i] += mass - upper
	d.mass[i+1] += upper
}

// check reports a grid that reaches beyond what an amount holds.
func (d Distribution) check() error {
	for _, a := range []money.Amount{d.Low(), d.High()} {
		if a.Minor() > money.Limit || a.Minor() < -money.Limit {
			return &money.RangeError{What: "distribution that reaches " + a.String()}
		}
	}
	return nil
}
