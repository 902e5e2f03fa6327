package money

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"
)

// Limit is the largest number of minor units, of either sign, that is accepted from outside: 10^15,
// ten million million euros. Some nine thousand such amounts can be added in int64.
const Limit = 1_000_000_000_000_000

// Amount is an exact sum of money: whole minor units of one currency. Amounts compare with ==. The
// zero Amount has no currency and stands for no amount; arithmetic and JSON refuse it.
type Amount struct {
	minor    int64
	currency Currency
}

// FromMinor returns minor units of the currency: FromMinor(123450, EUR) is 1234.50 EUR. It accepts
// all of int64, for amounts that were checked when they came in.
func FromMinor(minor int64, c Currency) Amount { return Amount{minor: minor, currency: c} }

// Zero returns the amount 0 in the currency.
func Zero(c Currency) Amount { return Amount{currency: c} }

// Minor returns the whole minor units.
func (a Amount) Minor() int64 { return a.minor }

// Currency returns the amount's currency, the zero Currency for the zero Amount.
func (a Amount) Currency() Currency { return a.currency }

// Decimal returns the amount in major units, exactly: 1234.50 for 123450 euro cents.
func (a Amount) Decimal() decimal.Decimal { return decimal.New(a.minor, -a.currency.Decimals()) }

// Sign returns -1, 0 or +1.
func (a Amount) Sign() int {
	switch {
	case a.minor < 0:
		return -1
	case a.minor > 0:
		return 1
	}
	return 0
}

// IsZero reports whether the amount is 0, in whatever currency.
func (a Amount) IsZero() bool { return a.minor == 0 }

// Add returns a + b. It panics with [*MismatchError] when the currencies differ and with
// [*RangeError] when the sum leaves int64; use [Sum] for amounts that come from outside.
func (a Amount) Add(b Amount) Amount {
	a.mustMatch(b)
	sum := a.minor + b.minor
	if (sum > a.minor) != (b.minor > 0) {
		panic(&RangeError{What: "sum of " + a.String() + " and " + b.String()})
	}
	return Amount{minor: sum, currency: a.currency}
}

// Sub returns a - b and panics as Add does.
func (a Amount) Sub(b Amount) Amount {
	a.mustMatch(b)
	difference := a.minor - b.minor
	if (difference < a.minor) != (b.minor > 0) {
		panic(&RangeError{What: "difference of " + a.String() + " and " + b.String()})
	}
	return Amount{minor: difference, currency: a.currency}
}

// Neg returns -a. It panics with [*RangeError] on the one int64 that has no opposite.
func (a Amount) Neg() Amount { return Zero(a.currency).Sub(a) }

// Cmp returns -1, 0 or +1 as a is less than, equal to or more than b; it panics with
// [*MismatchError] when the currencies differ.
func (a Amount) Cmp(b Amount) int {
	a.mustMatch(b)
	switch {
	case a.minor < b.minor:
		return -1
	case a.minor > b.minor:
		return 1
	}
	return 0
}

func (a Amount) mustMatch(b Amount) {
	if a.currency != b.currency || a.currency.IsZero() {
		panic(&MismatchError{Want: a.currency, Got: b.currency})
	}
}

// Sum adds amounts that must all be in the currency c: the checked form of Add, for amounts from
// outside. No amounts give zero. It returns [*MismatchError] or [*RangeError].
func Sum(c Currency, amounts ...Amount) (Amount, error) {
	if c.IsZero() {
		return Amount{}, &CurrencyError{Reason: "no currency"}
	}
	total := Zero(c)
	for _, a := range amounts {
		if a.currency != c {
			return Amount{}, &MismatchError{Want: c, Got: a.currency}
		}
		sum := total.minor + a.minor
		if (sum > total.minor) != (a.minor > 0) {
			return Amount{}, &RangeError{What: "sum of " + strconv.Itoa(len(amounts)) + " amounts"}
		}
		total.minor = sum
	}
	return total, nil
}

// Text returns the number alone, with exactly the currency's decimals: "1234.50", "-0.05", "1500"
// in yen.
func (a Amount) Text() string {
	text := strconv.FormatInt(a.minor, 10)
	decimals := int(a.currency.decimals)
	if decimals == 0 {
		return text
	}
	digits := strings.TrimPrefix(text, "-")
	sign := text[:len(text)-len(digits)]
	if missing := decimals + 1 - len(digits); missing > 0 {
		digits = strings.Repeat("0", missing) + digits
	}
	point := len(digits) - decimals
	return sign + digits[:point] + "." + digits[point:]
}

// String returns number and code, "1234.50 EUR"; "no amount" for the zero Amount.
func (a Amount) String() string {
	if a.currency.IsZero() {
		return "no amount"
	}
	return a.Text() + " " + a.currency.Code()
}

// MismatchError says that an amount is in another currency than it must be.
type MismatchError struct {
	Want, Got Currency
}

// Error names both currencies.
func (e *MismatchError) Error() string {
	return fmt.Sprintf("amount in %s must be in %s", nameOf(e.Got), nameOf(e.Want))
}

func nameOf(c Currency) string {
	if c.IsZero() {
		return "no currency"
	}
	return c.Code()
}

// RangeError says that a result or an input is too large for an amount.
type RangeError struct {
	What string
}

// Error names what was too large.
func (e *RangeError) Error() string { return e.What + ": too large for an amount" }
