package domain

import "github.com/shopspring/decimal"

// Time worked is kept in whole minutes, so that it adds up exactly; hours are for people to read.

// MinutesPerHour converts between the two.
const MinutesPerHour = 60

// hourPlaces is how many decimals hours are shown with.
const hourPlaces = 4

// HoursOf returns minutes as hours, rounded to 4 decimals.
func HoursOf(minutes int) decimal.Decimal {
	return decimal.NewFromInt(int64(minutes)).DivRound(decimal.NewFromInt(MinutesPerHour), hourPlaces)
}

// MinutesOf returns hours as minutes, and false unless they are whole minutes.
func MinutesOf(hours decimal.Decimal) (int, bool) {
	m := hours.Mul(decimal.NewFromInt(MinutesPerHour))
	return int(m.IntPart()), m.IsInteger()
}
