package stringing

import "math"

// Densities in kg/m³. Steel's gives every published tension that it was
// compared with within half a percent; 7800 is a merchant's figure. MeanCovered
// is what a string maker's shortcut comes to over the whole diameter of a
// covered string, (f L D)²/20 000 in pounds and centimetres (technicians' list,
// 2006).
const (
	SteelDensity       = 7850.0
	CopperDensity      = 8930.0
	MeanCoveredDensity = 7080.0
)

// roundWireFill is how much of the room that a covering takes up is copper:
// round wire wound touching fills π/4 of it.
const roundWireFill = math.Pi / 4

// disc is the area in m² of a circle of a diameter in mm.
func disc(diameterMM float64) float64 {
	d := diameterMM * milli
	return math.Pi / 4 * d * d
}

// PlainMass is the mass of plain steel wire in kg/m.
func PlainMass(diameterMM float64) float64 { return SteelDensity * disc(diameterMM) }

// CoveredMass is the mass of a string covered with round copper wire in kg/m,
// by its core and its overall diameter.
func CoveredMass(coreMM, overallMM float64) float64 {
	return PlainMass(coreMM) + CopperDensity*roundWireFill*(disc(overallMM)-disc(coreMM))
}

// CoveredMassByOverall is the mass of a covered string in kg/m where only its
// overall diameter is known, by the string maker's shortcut. For plain wire it
// would read 10 % low.
func CoveredMassByOverall(overallMM float64) float64 { return MeanCoveredDensity * disc(overallMM) }

// Tension is the tension in newtons at which a string of a speaking length and
// a mass per metre sounds a frequency: (2 L f)² μ (Mersenne, Taylor).
func Tension(frequencyHz, lengthMM, massKgPerM float64) float64 {
	v := 2 * lengthMM * milli * frequencyHz // the speed of the wave, m/s
	return v * v * massKgPerM
}

// Stress is the stress in MPa of a plain string, ρ (2 L f)²: the diameter is
// not in it.
func Stress(frequencyHz, lengthMM float64) float64 {
	return Tension(frequencyHz, lengthMM, SteelDensity) / 1e6
}
