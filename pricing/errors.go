package pricing

import (
	"fmt"

	"bentside/domain/money"
)

// The errors of this package name where the fault is: Where is the caller's key of a line, or the name of a field of
// the input when the fault is in no line. Several faults come joined; errors.As finds each kind.

// MissingRateError says that a line needs hours of a skill for which there is no hourly rate.
type MissingRateError struct {
	Where string
	Skill string
}

// Error names the line and the skill.
func (e *MissingRateError) Error() string {
	return fmt.Sprintf("%s: no hourly rate for skill %q", e.Where, e.Skill)
}

// OutsideHoursError says that a line bought outside has hours of our own as well, which would count its labour twice.
type OutsideHoursError struct {
	Where string
}

// Error names the line.
func (e *OutsideHoursError) Error() string {
	return e.Where + ": bought outside, so it can have no hours of its own"
}

// BoundError says that a value lies outside what it can be: a chance or a share outside 0 to 1, a count of days
// beyond ten years, an amount beyond [BidLimit].
type BoundError struct {
	Where, What        string
	Value, Least, Most string
}

// Error gives the value and its bounds.
func (e *BoundError) Error() string {
	return fmt.Sprintf("%s: %s is %s, must be from %s to %s", e.Where, e.What, e.Value, e.Least, e.Most)
}

// OrderError says that three points, or the starts of bands, do not rise.
type OrderError struct {
	Where, What  string
	First, Later string
}

// Error gives the two values that are the wrong way round.
func (e *OrderError) Error() string {
	return fmt.Sprintf("%s: %s falls from %s to %s", e.Where, e.What, e.First, e.Later)
}

// NegativeError says that a quantity, price or cost is below zero.
type NegativeError struct {
	Where, What string
	Value       string
}

// Error gives the value.
func (e *NegativeError) Error() string {
	return fmt.Sprintf("%s: %s is negative, %s", e.Where, e.What, e.Value)
}

// CurrencyError says that an amount is not in the currency of the whole.
type CurrencyError struct {
	Where, What string
	Want, Got   money.Currency
}

// Error names both currencies.
func (e *CurrencyError) Error() string {
	return fmt.Sprintf("%s: %s is in %q where %q is wanted", e.Where, e.What, e.Got.Code(), e.Want.Code())
}

// ValueError says that a value has too many digits, or that what follows from it is too large; Err is the finding of
// package money.
type ValueError struct {
	Where, What string
	Err         error
}

// Error gives the place and the finding.
func (e *ValueError) Error() string { return fmt.Sprintf("%s: %s: %v", e.Where, e.What, e.Err) }

// Unwrap returns the finding of package money.
func (e *ValueError) Unwrap() error { return e.Err }
