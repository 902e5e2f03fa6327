package domain

import "github.com/shopspring/decimal"

// TouchWeight is what a key was weighed with, in grams: the least that lets it
// sink slowly, and the most that it lifts slowly (dampers lifted).
type TouchWeight struct {
	Down, Up decimal.Decimal
}

// Balance is the weight in grams that the key stands in balance with, friction
// apart: the mean of down and up (paper of the technicians' list of college
// and university work).
func (t TouchWeight) Balance() decimal.Decimal { return t.Down.Add(t.Up).Div(two) }

// Friction is the friction of key and action in grams, half of down less up:
// what point SV-40 of the survey takes (same source).
func (t TouchWeight) Friction() decimal.Decimal { return t.Down.Sub(t.Up).Div(two) }

var two = decimal.New(2, 0)
