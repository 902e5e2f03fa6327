package stringing

import "math"

// Densities in kg/m³. That of steel gives every published tension it was compared with to half a
// percent; a merchant's figure is 7800.
const (
	SteelDensity  = 7850.0
	CopperDensity = 8930.0
)

// roundWireFill is the share of a covering's volume that is copper: round wire wound touching fills
// π/4 of it.
const roundWireFill = math.Pi / 4

// disc returns the area in m² of a circle of a diameter in mm.
func disc(diameterMM float64) float64 {
	d := diameterMM * milli
	return math.Pi / 4 * d * d
}

// PlainMass returns the mass of plain steel wire in kg/m.
func PlainMass(diameterMM float64) float64 { return SteelDensity * disc(diameterMM) }

// CoveredMass returns the mass of a string covered with round copper wire in kg/m, by its core and
// its overall diameter.
func CoveredMass(coreMM, overallMM float64) float64 {
	return PlainMass(coreMM) + CopperDensity*roundWireFill*(disc(overallMM)-disc(coreMM))
}

// Tension returns the tension in newtons at which a string of a speaking length and a mass per
// metre sounds a frequency: (2 L f)² μ (Mersenne, Taylor).
func Tension(frequencyHz, lengthMM, massKgPerM float64) float64 {
	v := 2 * lengthMM * milli * frequencyHz // the speed of the wave, m/s
	return v * v * massKgPerM
}
