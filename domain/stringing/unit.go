package stringing

import (
	"strconv"
)

// Units of force and stress, exact by definition: standard gravity (third CGPM, 1901) and the
// international pound and inch (1959).
const (
	standardGravity   = 9.80665           // m/s²
	NewtonPerKgf      = standardGravity   // a kilogram-force
	NewtonPerLbf      = 4.4482216152605   // a pound-force
	NewtonPerTonne    = 9806.65           // a metric tonne-force
	MPaPerKsi         = 6.894757293168361 // a thousand pounds-force on the square inch
	MillimetrePerInch = 25.4
)

const milli = 1e-3

func itoa(n int) string { return strconv.Itoa(n) }
