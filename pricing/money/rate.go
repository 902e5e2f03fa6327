package money

import (
	"math/bits"

	"github.com/shopspring/decimal"
)

// InMillionths returns d in units of 10^-6: 1_500_000 is one and a half. It returns [*DigitsError]
// for more than six decimals, and [*RangeError] beyond int64 (about nine million million).
func InMillionths(d decimal.Decimal) (int64, error) {
	if err := Rate.Check(d); err != nil {
		return 0, err
	}
	n := d.Shift(6).BigInt()
	if !n.IsInt64() {
		return 0, &RangeError{What: describe(d) + " in millionths"}
	}
	return n.Int64(), nil
}

// MulRatio returns a × numerator ÷ denominator, rounded once: the exact form for shares that no
// finite decimal expresses, such as a sixth of a margin. It panics unless the denominator is
// positive, and returns [*RangeError] above [Limit].
func (a Amount) MulRatio(numerator, denominator int64, mode Rounding) (Amount, error) {
	if a.currency.IsZero() {
		return Amount{}, &CurrencyError{Reason: "no currency"}
	}
	if denominator <= 0 {
		panic("ratio with a denominator that is not positive")
	}
	minor, fits := mulDiv(a.minor, numerator, denominator, mode)
	if !fits {
		return Amount{}, &RangeError{What: "share of " + a.String()}
	}
	return FromMinor(minor, a.currency), nil
}

// mulDiv returns x·y/d, d > 0, rounded by mode, and whether it is within Limit.
func mulDiv(x, y, d int64, mode Rounding) (int64, bool) {
	hi, lo := bits.Mul64(magnitude(x), magnitude(y))
	divisor := uint64(d) //nolint:gosec // d is positive
	if hi >= divisor {
		return 0, false
	}
	quotient, remainder := bits.Div64(hi, lo, divisor)
	if quotient > Limit { // checked before rounding too, so that the step below can't wrap to zero
		return 0, false
	}
	if roundsAway(quotient, remainder, divisor, mode) {
		quotient++
	}
	if quotient > Limit {
		return 0, false
	}
	if (x < 0) != (y < 0) {
		return -int64(quotient), true
	}
	return int64(quotient), true
}

func magnitude(x int64) uint64 {
	if x < 0 {
		return -uint64(x) //nolint:gosec // two's complement gives the magnitude, of the least int64 too
	}
	return uint64(x)
}

// roundsAway reports whether a truncated quotient with this remainder goes one further from zero.
func roundsAway(quotient, remainder, divisor uint64, mode Rounding) bool {
	rest := divisor - remainder // compares remainder with half the divisor without doubling it
	switch mode {
	case HalfUp:
		return remainder >= rest
	case HalfEven:
		return remainder > rest || remainder == rest && quotient%2 == 1
	case Down:
		return false
	case Up:
		return remainder > 0
	}
	panic(mode.String() + " is not a rounding mode")
}
