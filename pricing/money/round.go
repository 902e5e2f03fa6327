package money

import (
	"fmt"
	"math/big"

	"github.com/shopspring/decimal"
)

// Rounding is a rule for a value between two representable ones. The zero Rounding isn't a rule:
// every rounding names its mode.
type Rounding uint8

// The rounding modes. Money documents use HalfUp, statistics HalfEven; Down and Up serve rules that
// name a direction.
const (
	// HalfUp goes to the nearer value, a tie away from zero: 2.5 to 3, -2.5 to -3.
	HalfUp Rounding = iota + 1
	// HalfEven goes to the nearer value, a tie to the even one: 2.5 to 2, 3.5 to 4.
	HalfEven
	// Down goes towards zero.
	Down
	// Up goes away from zero.
	Up
)

// String returns the mode's name.
func (r Rounding) String() string {
	switch r {
	case HalfUp:
		return "half up"
	case HalfEven:
		return "half even"
	case Down:
		return "down"
	case Up:
		return "up"
	}
	return fmt.Sprintf("Rounding(%d)", uint8(r))
}

// Decimal rounds d to the number of decimals; a negative number rounds to tens, hundreds and so on.
// It panics on an unknown mode.
func (r Rounding) Decimal(d decimal.Decimal, decimals int32) decimal.Decimal {
	switch r {
	case HalfUp:
		return d.Round(decimals)
	case HalfEven:
		return d.RoundBank(decimals)
	case Down:
		return d.RoundDown(decimals)
	case Up:
		return d.RoundUp(decimals)
	}
	panic(r.String() + " is not a rounding mode")
}

// Round converts a decimal in major units, such as quantity times unit cost, to an amount: the one
// place where a product is rounded. It returns [*RangeError] above [Limit] and [*CurrencyError]
// without a currency.
func Round(d decimal.Decimal, c Currency, mode Rounding) (Amount, error) {
	if c.IsZero() {
		return Amount{}, &CurrencyError{Reason: "no currency"}
	}
	// A decimal of 10^40 is out of range whatever its digits; it must not be expanded to find out.
	if d.Exponent() > maxText && !d.IsZero() {
		return Amount{}, &RangeError{What: describe(d) + " " + c.Code()}
	}
	if d.IsZero() {
		return Zero(c), nil
	}
	minor := mode.Decimal(d, c.Decimals()).Shift(c.Decimals()).BigInt()
	if minor.CmpAbs(big.NewInt(Limit)) > 0 {
		return Amount{}, &RangeError{What: describe(d) + " " + c.Code()}
	}
	return FromMinor(minor.Int64(), c), nil
}
