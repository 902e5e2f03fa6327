package odds

import "math"

// The normal distribution and the exponential in sums, products, quotients and square roots alone,
// which give the same bits on every machine; see the package comment.

// exp returns e^x for |x| up to about 40, to within a few units of the last place: the series of
// the exponential on what is left of x after whole multiples of ln 2.
func exp(x float64) float64 {
	k := math.Floor(x/math.Ln2 + 0.5)
	r := x - float64(k*math.Ln2)
	sum, term := 1.0, 1.0
	for i := 1.0; i <= 18; i++ {
		term = float64(term*r) / i
		sum += term
	}
	return math.Ldexp(sum, int(k))
}

// ln returns the natural logarithm of a positive number: 2·artanh((m-1)/(m+1)) of its mantissa m,
// and its exponent.
func ln(x float64) float64 {
	m, k := math.Frexp(x) // m in [0.5, 1)
	if m < math.Sqrt2/2 {
		m, k = 2*m, k-1
	}
	t := (m - 1) / (m + 1)
	square := float64(t * t)
	sum, power := 0.0, t
	for i := 1.0; i <= 41; i += 2 {
		sum += power / i
		power = float64(power * square)
	}
	return 2*sum + float64(float64(k)*math.Ln2)
}

// farthest is how many standard deviations from the mean a probability still differs from 0 and 1
// here.
const farthest = 8

// normalDensity returns the density of the standard normal distribution.
func normalDensity(x float64) float64 { return exp(float64(-x*x)/2) / math.Sqrt(2*math.Pi) }

// normalBelow returns Φ(x), the probability that a standard normal variable is at most x: a half
// plus the density times x + x³/3 + x⁵/(3·5) + … (Marsaglia, "Evaluating the normal distribution",
// Journal of Statistical Software 11, 2004, from memory). Its absolute error stays near 10⁻¹⁵.
func normalBelow(x float64) float64 {
	switch {
	case x < -farthest:
		return 0
	case x > farthest:
		return 1
	}
	sum, term, square := x, x, float64(x*x)
	for i := 3.0; math.Abs(term) > 1e-18; i += 2 {
		term = float64(term*square) / i
		sum += term
	}
	return min(max(0.5+float64(normalDensity(x)*sum), 0), 1)
}

// normalQuantile returns the x with Φ(x) = p, within ±farthest: a few halvings, then Newton's steps
// for as long as they stay inside.
func normalQuantile(p float64) float64 {
	low, high := -float64(farthest), float64(farthest)
	x := 0.0
	for step := range 60 {
		off := normalBelow(x) - p
		if off < 0 {
			low = x
		} else {
			high = x
		}
		next := (low + high) / 2
		if step > 4 {
			if newton := x - off/normalDensity(x); newton > low && newton < high {
				next = newton
			}
		}
		if math.Abs(next-x) < 1e-13 {
			return next
		}
		x = next
	}
	return x
}

// sin returns the sine of an angle from 0 to π/2 by its series.
func sin(x float64) float64 {
	sum, term, square := x, x, float64(x*x)
	for i := 2.0; i <= 26; i += 2 {
		term = -float64(term*square) / (i * (i + 1))
		sum += term
	}
	return sum
}
