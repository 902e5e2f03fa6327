package pricing

import (
	"fmt"

	"bentside/pricing/money"
)

// The errors of this package name the place of the fault: Where is the caller's key of a line, or
// the name of an input field if the fault isn't in a line. Several faults are joined; errors.As
// finds each kind.

// MissingRateError says that a line needs hours of a skill for which there is no hourly rate.
type MissingRateError struct {
	Where string
	Skill string
}

// Error names the line and the skill.
func (e *MissingRateError) Error() string {
	return fmt.Sprintf("%s: there must be an hourly rate for skill %q", e.Where, e.Skill)
}

// OutsideHoursError says that a line bought outside has hours of our own as well, which would count
// its labour twice.
type OutsideHoursError struct {
	Where string
}

// Error names the line.
func (e *OutsideHoursError) Error() string {
	return e.Where + ": is bought outside, so it must not have hours of its own"
}

// BoundError says that a value is out of bounds: a chance or a share outside 0 to 1, a count of
// days beyond ten years, an amount beyond [BidLimit].
type BoundError struct {
	Where, What        string
	Value, Least, Most string
}

// Error names the value and its bounds.
func (e *BoundError) Error() string {
	return fmt.Sprintf(
		"%s: %s must be from %s to %s, not %s", e.Where, e.What, e.Least, e.Most, e.Value,
	)
}

// OrderError says that three points, or the starts of bands, don't rise.
type OrderError struct {
	Where, What  string
	First, Later string
}

// Error names the two values that are out of order.
func (e *OrderError) Error() string {
	return fmt.Sprintf("%s: %s must rise, and falls from %s to %s", e.Where, e.What, e.First, e.Later)
}

// NegativeError says that a quantity, price or cost is below zero.
type NegativeError struct {
	Where, What string
	Value       string
}

// Error names the value.
func (e *NegativeError) Error() string {
	return fmt.Sprintf("%s: %s must not be negative, and is %s", e.Where, e.What, e.Value)
}

// CurrencyError says that an amount isn't in the currency of the whole.
type CurrencyError struct {
	Where, What string
	Want, Got   money.Currency
}

// Error names both currencies.
func (e *CurrencyError) Error() string {
	return fmt.Sprintf(
		"%s: %s must be in %q, not %q", e.Where, e.What, e.Want.Code(), e.Got.Code(),
	)
}

// ValueError says that a value has too many digits, or that a result of it is too large; Err is the
// error of package money.
type ValueError struct {
	Where, What string
	Err         error
}

// Error names the place and the error.
func (e *ValueError) Error() string { return fmt.Sprintf("%s: %s: %v", e.Where, e.What, e.Err) }

// Unwrap returns the error of package money.
func (e *ValueError) Unwrap() error { return e.Err }
