package stringing

import (
	"math"
	"strconv"
)

// Gauge is the number of a music wire, in whole and half numbers. It is only a label: the measured
// diameter counts, since old wire may be under nominal and makers numbered differently.
type Gauge float64

// The first and the last number of the inch series.
const (
	ThinnestGauge Gauge = 12
	ThickestGauge Gauge = 23
)

// Valid reports whether the number is a whole or half one of the series.
func (g Gauge) Valid() bool {
	return g >= ThinnestGauge && g <= ThickestGauge && float64(2*g) == math.Trunc(float64(2*g))
}

// Inches returns the diameter in inches by the inch series, (2 g + 5)/1000 (S03, checked against
// S01).
func (g Gauge) Inches() float64 { return (2*float64(g) + 5) / 1000 }

// MM returns the diameter in millimetres by the inch series.
func (g Gauge) MM() float64 { return g.Inches() * MillimetrePerInch }

// String returns the number as the trade writes it: "No 16.5".
func (g Gauge) String() string { return "No " + strconv.FormatFloat(float64(g), 'f', -1, 64) }

// GaugeOf returns the number of the inch series nearest to a diameter, and by how many millimetres
// the wire is thicker than it (negative: thinner). Beyond the series it returns the nearest end.
func GaugeOf(diameterMM float64) (nearest Gauge, overMM float64) {
	g := (diameterMM/MillimetrePerInch*1000 - 5) / 2
	nearest = min(max(Gauge(math.Round(2*g)/2), ThinnestGauge), ThickestGauge)
	return nearest, diameterMM - nearest.MM()
}
