package postgres

import (
	"bentside/domain/money"
)

// ownCurrency is the currency that the workshop's amounts are kept in, as a
// column.
const ownCurrency = `(SELECT w.currency FROM workshops w WHERE w.id = $1)`

// amount is a stored sum of minor units; nil where there is none.
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

// minorOf is how a sum that there may be none of is stored.
func minorOf(a *money.Amount) *int64 {
	if a == nil {
		return nil
	}
	minor := a.Minor()
	return &minor
}
