package stringing

import (
	"math"
	"strconv"
)

// Units of force and stress, exact by definition: standard gravity (third
// CGPM, 1901) and the international pound and inch (1959).
const (
	StandardGravity   = 9.80665           // m/s²
	NewtonPerKgf      = StandardGravity   // a kilogram-force
	NewtonPerLbf      = 4.4482216152605   // a pound-force
	NewtonPerTonne    = 9806.65           // a metric tonne-force
	MPaPerKsi         = 6.894757293168361 // a thousand pounds-force on the square inch
	MillimetrePerInch = 25.4
)

const milli = 1e-3

// round is x to a number of decimals, half away from zero.
func round(x float64, places int) float64 {
	p := math.Pow10(places)
	return math.Round(x*p) / p
}

func itoa(n int) string { return strconv.Itoa(n) }
