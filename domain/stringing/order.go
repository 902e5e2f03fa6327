package stringing

import (
	"cmp"
	"math"
	"slices"
)

// BeyondSpeaking is the wire in metres that a plain string takes beyond its speaking length: rear
// length, loop, front length, three coils, tip and trimming (from memory, 0.35 to 0.55 m; uprights
// less).
const BeyondSpeaking = 0.45

// The usual terms of buying wire: spare over what is used, and the smallest coil (common practice,
// no source).
const (
	UsualSpare  = 0.15
	UsualCoilKg = 0.5
)

// Wire is the plain wire of one diameter that a scale needs.
type Wire struct {
	DiameterMM float64
	Gauge      Gauge // the nearest number, as a label
	Strings    int
	Metres     float64 // used
	Kg         float64 // used
	OrderKg    float64 // with spare
	Coils      int     // whole coils that hold OrderKg
	CoilKg     float64
}

// Order returns the plain wire of a scale by diameter, thinnest first, with a spare share (0.15 =
// 15 %) on top and in whole coils of coilKg kilograms. Covered strings aren't included: they are
// ordered by note, to pattern.
func (s Scale) Order(spare, coilKg float64) []Wire {
	var list []Wire
	for _, n := range s {
		if n.Covered() {
			continue
		}
		i := slices.IndexFunc(list, func(w Wire) bool { return sameDiameter(w.DiameterMM, n.CoreMM) })
		if i < 0 {
			g, _ := GaugeOf(n.CoreMM)
			list = append(list, Wire{DiameterMM: n.CoreMM, Gauge: g, CoilKg: coilKg})
			i = len(list) - 1
		}
		w := &list[i]
		w.Strings += n.Strings
		w.Metres += float64(n.Strings) * (n.LengthMM*milli + BeyondSpeaking)
	}
	for i := range list {
		w := &list[i]
		w.Kg = w.Metres * PlainMass(w.DiameterMM)
		w.OrderKg = w.Kg * (1 + spare)
		w.Coils = max(1, int(math.Ceil(w.OrderKg/coilKg)))
	}
	slices.SortFunc(list, func(a, b Wire) int { return cmp.Compare(a.DiameterMM, b.DiameterMM) })
	return list
}

// sameDiameter reports whether no micrometer could tell two diameters apart.
func sameDiameter(a, b float64) bool { return math.Abs(a-b) < 5e-4 }
