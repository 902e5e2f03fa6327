package odds

import (
	"fmt"
	"math"

	"bentside/pricing/money"
)

// ThreePoint is an estimate of what is not known: the least, the likeliest and the most, in any
// unit.
type ThreePoint struct {
	Low, Likely, High float64
}

// Mean returns (low + 4 likely + high)/6, the mean of the PERT method (Malcolm, Roseboom, Clark and
// Fazar 1959, from memory). It is the mean of the beta distribution of [PERT] as well.
func (t ThreePoint) Mean() float64 { return (t.Low + float64(4*t.Likely) + t.High) / 6 }

// Shape returns the parameters of the beta distribution on Low to High that has its mode at Likely
// and the mean of the PERT method: α = 1 + 4(likely - low)/(high - low) and β = 6 - α. Without a
// range there is none: 0 and 0.
func (t ThreePoint) Shape() (alpha, beta float64) {
	if t.High <= t.Low {
		return 0, 0
	}
	alpha = 1 + 4*(t.Likely-t.Low)/(t.High-t.Low)
	return alpha, 6 - alpha
}

// SD returns the standard deviation of that beta distribution: √((mean - low)(high - mean)/7). It
// is what a [Distribution] made by [PERT] has.
func (t ThreePoint) SD() float64 {
	mean := t.Mean()
	return math.Sqrt((mean - t.Low) * (t.High - mean) / 7)
}

// RuleSD returns (high - low)/6, the rule of thumb of the PERT method for the same thing. Published
// network examples use it; it is smaller than [ThreePoint.SD] unless Likely lies far to one side.
func (t ThreePoint) RuleSD() float64 { return (t.High - t.Low) / 6 }

// OrderError says that three points do not rise.
type OrderError struct {
	Low, Likely, High money.Amount
}

// Error gives the three points.
func (e *OrderError) Error() string {
	return fmt.Sprintf("three points must rise: %v, %v, %v", e.Low, e.Likely, e.High)
}

// cuts is how many slices of equal width the density is taken in.
const cuts = 400

// binaryPlaces is how fine an exponent of the density is taken.
const binaryPlaces = 16

// PERT returns the beta distribution of three points; see [ThreePoint.Shape]. Three equal points
// are a certain amount.
//
// The density, x^(α-1)·(1-x)^(β-1) on a range of one, is taken at the middle of 400 slices, then
// tilted linearly so that the mean is exact, and laid on the grid.
//
// It returns [*OrderError], [*money.MismatchError], or [*money.RangeError] beyond [money.Limit].
func PERT(low, likely, high money.Amount) (Distribution, error) {
	c := low.Currency()
	for _, a := range []money.Amount{low, likely, high} {
		switch {
		case a.Currency() != c || c.IsZero():
			return Distribution{}, &money.MismatchError{Want: c, Got: a.Currency()}
		case a.Minor() > money.Limit || a.Minor() < -money.Limit:
			return Distribution{}, &money.RangeError{What: "three points with " + a.String()}
		}
	}
	switch {
	case likely.Cmp(low) < 0 || high.Cmp(likely) < 0:
		return Distribution{}, &OrderError{Low: low, Likely: likely, High: high}
	case low == high:
		return Certain(low), nil
	}
	span := high.Minor() - low.Minor()
	t := ThreePoint{Low: 0, Likely: float64(likely.Minor()-low.Minor()) / float64(span), High: 1}
	d := blank(c, low.Minor(), span, cuts)
	for i, m := range t.density() {
		d.lay(float64(middle(i)*float64(span)), m)
	}
	return d, nil
}

// middle returns the middle of a slice of a range of one.
func middle(i int) float64 { return (float64(i) + 0.5) / cuts }

// density returns the masses of the slices of three points on a range of one.
func (t ThreePoint) density() []float64 {
	alpha, _ := t.Shape()
	masses := make([]float64, cuts)
	total := 0.0
	for i := range masses {
		masses[i] = float64(power(i, alpha-1) * power(cuts-1-i, 5-alpha))
		total += masses[i]
	}
	mean, square := 0.0, 0.0
	for i := range masses {
		masses[i] /= total
		mean += float64(masses[i] * middle(i))
		square += float64(masses[i] * float64(middle(i)*middle(i)))
	}
	tilt := (t.Mean() - mean) / (square - float64(mean*mean))
	for i := range masses {
		masses[i] = float64(masses[i] * (1 + float64(tilt*(middle(i)-mean))))
	}
	return masses
}

// power returns the power of the middle of a slice, for an exponent from 0 to 4. It is put together
// from square roots, which are the same on every machine; the powers of package math need not be.
func power(slice int, exponent float64) float64 {
	result := 1.0
	for ; exponent >= 1; exponent-- {
		result = float64(result * middle(slice))
	}
	for _, root := range roots[slice] {
		if exponent += exponent; exponent >= 1 {
			exponent--
			result = float64(result * root)
		}
	}
	return result
}

// roots are, for each slice, the square root of its middle, the root of that, and so on.
var roots = func() (table [cuts][binaryPlaces]float64) {
	for slice := range table {
		root := middle(slice)
		for place := range table[slice] {
			root = math.Sqrt(root)
			table[slice][place] = root
		}
	}
	return table
}()
