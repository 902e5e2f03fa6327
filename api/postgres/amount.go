package postgres

import (
	"bentside/pricing/money"
)

// ownCurrency is a column with the workshop's currency.
const ownCurrency = `(SELECT w.currency FROM workshops w WHERE w.id = $1)`

// amount converts stored minor units to an amount; nil stays nil.
func amount(minor *int64, currency string) (*money.Amount, error) {
	if minor == nil {
		return nil, nil //nolint:nilnil // no sum is not an error
	}
	c, err := money.ParseCurrency(currency)
	if err != nil {
		return nil, err
	}
	a := money.FromMinor(*minor, c)
	return &a, nil
}

// minorOrNull converts an amount to minor units for storage; nil stays nil.
func minorOrNull(a *money.Amount) *int64 {
	if a == nil {
		return nil
	}
	minor := a.Minor()
	return &minor
}
