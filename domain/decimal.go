package domain

import (
	"github.com/shopspring/decimal"
)

// The digits of a reading that the store keeps: so many before the point and so many after it,
// which is finer than any gauge in a workshop. Quotients are rounded to DecimalPlaces too.
const (
	IntegerDigits = 14
	DecimalPlaces = 6
)

// One is the decimal 1: the probability of what is certain, the whole of a share.
var One = decimal.NewFromInt(1)

// WithinDigits reports whether the store can hold a decimal. Values from outside are tested before
// any sum is done with them, since one with an exponent of a thousand million would fill the
// memory.
func WithinDigits(d decimal.Decimal) bool {
	e := int(d.Exponent())
	return e <= IntegerDigits && -e <= DecimalPlaces && d.NumDigits()+e <= IntegerDigits
}

// HasMoreDecimals reports whether a value has more decimals than places.
func HasMoreDecimals(v decimal.Decimal, places int32) bool { return !v.Equal(v.Truncate(places)) }

// checkBelowOne notes a fault unless v is a share or a probability of at least 0 and below 1.
func (f *Faults) checkBelowOne(pointer string, v decimal.Decimal) {
	switch {
	case v.IsNegative() || v.GreaterThanOrEqual(One):
		f.Add(pointer, "must be a share of at least 0 and below 1 (0.20 is 20 %%), not %s", v)
	case HasMoreDecimals(v, sharePlaces):
		f.Add(pointer, "%s has more than %d decimals", v, sharePlaces)
	}
}

// CheckShare notes a fault unless v is a share or a probability from 0 to 1.
func (f *Faults) CheckShare(pointer string, v decimal.Decimal) {
	switch {
	case v.IsNegative() || v.GreaterThan(One):
		f.Add(pointer, "must be a share from 0 to 1 (0.25 is 25 %%), not %s", v)
	case HasMoreDecimals(v, sharePlaces):
		f.Add(pointer, "%s has more than %d decimals", v, sharePlaces)
	}
}

// Percent writes a share as a percentage.
func Percent(share decimal.Decimal) string { return share.Shift(2).String() + " %" }
