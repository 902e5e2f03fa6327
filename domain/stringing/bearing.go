package stringing

import "math"

// BearingForce returns the force in newtons with which a string that is bent by an angle in degrees
// presses on a bridge: T sin α (S53). Readings of the angle by thread or gauge are rough, and so is
// the force.
func BearingForce(tensionN, angleDegrees float64) float64 {
	return tensionN * math.Sin(angleDegrees*math.Pi/180)
}
