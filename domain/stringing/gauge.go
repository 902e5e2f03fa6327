package stringing

import (
	"math"
	"strconv"
)

// Gauge is the number of a music wire, in whole and half numbers. It is a
// label: what counts is the measured diameter, since old wire may be under
// nominal and makers numbered differently.
type Gauge float64

// The numbers that the inch series is in use for.
const (
	ThinnestGauge Gauge = 12
	ThickestGauge Gauge = 23
)

// Valid reports whether the number is a whole or half one of the series.
func (g Gauge) Valid() bool {
	return g >= ThinnestGauge && g <= ThickestGauge && float64(2*g) == math.Trunc(float64(2*g))
}

// Inches is the diameter in inches by the inch series, (2 g + 5)/1000
// (technicians' list, 2004, checked to an encyclopaedia's table).
func (g Gauge) Inches() float64 { return (2*float64(g) + 5) / 1000 }

// MM is the diameter in millimetres by the inch series.
func (g Gauge) MM() float64 { return g.Inches() * MillimetrePerInch }

// MetricMM is the diameter in millimetres that a maker of metric wire gives
// the number: 0.725 for No 12 and 0.025 for each half number, and 1.300 for
// No 23 (technicians' list, 2003). It runs a little thinner than MM.
func (g Gauge) MetricMM() float64 {
	if g == ThickestGauge {
		return 1.300
	}
	return round(0.725+0.05*float64(g-ThinnestGauge), 4)
}

// String is the number as the trade writes it: "No 16.5".
func (g Gauge) String() string { return "No " + strconv.FormatFloat(float64(g), 'f', -1, 64) }

// GaugeOf is the number of the inch series that a diameter lies nearest to,
// and by how much in millimetres the wire is over (or, negative, under) it.
// Beyond the series it is the nearest end of it.
func GaugeOf(diameterMM float64) (nearest Gauge, overMM float64) {
	g := (diameterMM/MillimetrePerInch*1000 - 5) / 2
	nearest = min(max(Gauge(math.Round(2*g)/2), ThinnestGauge), ThickestGauge)
	return nearest, diameterMM - nearest.MM()
}
