package money

import (
	"math/bits"

	"github.com/shopspring/decimal"
)

// Millionths is an exact multiplier in units of 10^-6: hours, a rate per hour, a share. 1_500_000 is one and a half.
// It is the fast form of a decimal inside the [Rate] bound, for loops that multiply millions of times.
type Millionths int64

// InMillionths returns d as millionths. A decimal with more than six decimals gives [*DigitsError], one beyond int64
// (about nine million million) gives [*RangeError].
func InMillionths(d decimal.Decimal) (Millionths, error) {
	if err := Rate.Check(d); err != nil {
		return 0, err
	}
	n := d.Shift(6).BigInt()
	if !n.IsInt64() {
		return 0, &RangeError{What: describe(d) + " in millionths"}
	}
	return Millionths(n.Int64()), nil
}

// Decimal returns the multiplier as a decimal, exactly.
func (m Millionths) Decimal() decimal.Decimal { return decimal.New(int64(m), -6) }

// MulRate returns quantity × rate, the rate in major units of c per unit of quantity, rounded once. It equals
// Round(quantity.Decimal().Mul(rate.Decimal()), c, mode) and needs no allocation: the product is formed in 128 bits.
// It returns [*RangeError] above [Limit].
func MulRate(quantity, rate Millionths, c Currency, mode Rounding) (Amount, error) {
	if c.IsZero() {
		return Amount{}, &CurrencyError{Reason: "no currency"}
	}
	minor, fits := mulDiv(int64(quantity), int64(rate), scaleFromMillionths[c.decimals], mode)
	if !fits {
		return Amount{}, &RangeError{What: quantity.Decimal().String() + " × " + rate.Decimal().String() + " " + c.Code()}
	}
	return FromMinor(minor, c), nil
}

// scaleFromMillionths is what divides a product of two millionths to give minor units, by the currency's decimals.
var scaleFromMillionths = [...]int64{0: 1e12, 1: 1e11, 2: 1e10, 3: 1e9, 4: 1e8}

// MulRatio returns a × numerator ÷ denominator, rounded once: the exact form for shares that are no finite decimal,
// such as the sixth of a margin. The denominator must be positive; a zero or negative one panics. It returns
// [*RangeError] above [Limit].
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
	if quotient > Limit { // asked before rounding too, so that the step below cannot wrap to zero
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
