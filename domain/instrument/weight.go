package instrument

import (
	"fmt"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// within is how far areas and weights can be off (from memory).
const within = "give or take 15 %"

// usualMM is the size of the baseline instruments.
var usualMM = map[catalogue.Kind]int{catalogue.Grand: 1850, catalogue.Upright: 1250}

// The weight of a grand in kg follows 215 L − 90, L in metres: a fit to the tables of removers (232
// kg at 1.50 m, 499 at 2.74), good to 15 %. Their tables give uprights as 227 kg at 1.22 m (48 in)
// to 454 at 1.52 (60 in) and nothing below.
var (
	grandWeight = [2]decimal.Decimal{decimal.New(215, 0), decimal.New(90, 0)}
	lowUpright  = [2]decimal.Decimal{decimal.RequireFromString("1.22"), decimal.New(227, 0)}
	tallUpright = [2]decimal.Decimal{decimal.RequireFromString("1.52"), decimal.New(454, 0)}
)

// weight returns the estimated weight of the whole instrument in kg.
func (m *measured) weight() Quantity {
	size, basis, says := m.size(), Computed, ""
	if m.in.SizeMM <= 0 {
		size, basis = decimal.NewFromInt(int64(usualMM[m.in.Kind])).Mul(metrePerMilli), Assumed
		says = "size not measured, so that of a standard instrument is taken; "
	}
	if m.in.Kind == catalogue.Grand {
		return Quantity{
			Value: grandWeight[0].Mul(size).Sub(grandWeight[1]).Round(0), Basis: basis,
			Formula: fmt.Sprintf("%s%s L − %s kg, L = %s m, %s",
				says, grandWeight[0], grandWeight[1], metres(size), within),
		}
	}
	says += fmt.Sprintf("between %s kg at %s m and %s kg at %s m, H = %s m",
		lowUpright[1], lowUpright[0], tallUpright[1], tallUpright[0], metres(size))
	switch {
	case size.LessThan(lowUpright[0]):
		size, basis = lowUpright[0], Assumed
		says += fmt.Sprintf(
			" counted as %s: removers' tables have none lower, and it may well weigh less", size)
	case size.GreaterThan(tallUpright[0]):
		size, basis = tallUpright[0], Assumed
		says += fmt.Sprintf(
			" counted as %s: removers' tables have none taller, and it may well weigh more", size)
	}
	slope := tallUpright[1].Sub(lowUpright[1]).Div(tallUpright[0].Sub(lowUpright[0]))
	return Quantity{
		Value: lowUpright[1].Add(slope.Mul(size.Sub(lowUpright[0]))).Round(0), Basis: basis,
		Formula: says + ", " + within,
	}
}

// metres writes a size in metres, to the centimetre at least.
func metres(size decimal.Decimal) string {
	if centimetres := size.Round(2); !centimetres.Equal(size) {
		return size.String()
	}
	return size.StringFixed(2)
}

// frameWeight returns a third of the instrument's weight (from memory).
func (m *measured) frameWeight() Quantity {
	whole := m.of(InstrumentKg)
	return Quantity{
		Value: whole.Value.Div(three).Round(0), Basis: Assumed,
		Formula: fmt.Sprintf("a third of the %s kg of the instrument, from memory", whole.Value),
	}
}

var three = decimal.New(3, 0)
