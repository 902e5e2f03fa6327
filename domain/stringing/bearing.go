package stringing

import "math"

// BearingForce is the force in newtons that a string presses on a bridge with
// where it is bent by an angle in degrees: T sin α (technicians' list, 2004).
// Thread and gauge readings of the angle are rough, and the force is no better.
func BearingForce(tensionN, angleDegrees float64) float64 {
	return tensionN * math.Sin(angleDegrees*math.Pi/180)
}

// CrownRise is the rise in mm of a soundboard's crown of a radius over a chord,
// both in metres: c²/(8 R), good where the chord is short beside the radius.
func CrownRise(radiusM, chordM float64) float64 { return chordM * chordM / (8 * radiusM) / milli }
