package stringing

import "fmt"

// Note is the strings of one note, all alike.
type Note struct {
	Number    int     // 1: A0
	Strings   int     // in unison
	LengthMM  float64 // speaking length
	CoreMM    float64 // diameter of the plain wire, or of the core
	OverallMM float64 // of a covered string; 0: plain
	Section   string  // the part of the frame that it is strung on; empty: not noted
}

// Covered reports whether the strings are overspun.
func (n Note) Covered() bool { return n.OverallMM > 0 }

// MassKgPerM returns the mass of one of the strings in kg/m.
func (n Note) MassKgPerM() float64 {
	if n.Covered() {
		return CoveredMass(n.CoreMM, n.OverallMM)
	}
	return PlainMass(n.CoreMM)
}

// Tension returns the tension of one of the strings in newtons, at A4 = a4 hertz.
func (n Note) Tension(a4 float64) float64 {
	return Tension(Frequency(n.Number, a4), n.LengthMM, n.MassKgPerM())
}

// Scale is the strings of an instrument, lowest note first.
type Scale []Note

// Fault is one thing that can't be true of a row of a scale.
type Fault struct {
	Row   int    // position in the scale
	Field string // number, strings, length, core, overall
	Says  string
}

// Bounds of what a measured string can be: the shortest treble and the longest bass of a concert
// grand, wire and covering with room on both sides (common practice, no source).
const (
	minLengthMM, maxLengthMM   = 30, 2500
	minCoreMM, maxCoreMM       = 0.5, 2.5
	maxOverallMM               = 10
	minStrings, maxStrings     = 1, 4
	thinnestCoverMM            = 0.1
	maxPercentOfMaximum        = 100 // of the strongest wire of the standard
	lowestNumber, highestNotes = 1, 108
)

// Faults returns all that can't be true of the scale, row by row: a figure out of bounds, a
// covering thinner than its core, notes out of order or twice, a string that would break at the
// pitch.
func (s Scale) Faults(a4 float64) []Fault {
	var list []Fault
	for i, n := range s {
		add := func(field, format string, args ...any) {
			list = append(list, Fault{Row: i, Field: field, Says: fmt.Sprintf(format, args...)})
		}
		if n.Number < lowestNumber || n.Number > highestNotes {
			add("number", "note %d must be from 1 (A0) to %d", n.Number, highestNotes)
		} else if i > 0 && n.Number <= s[i-1].Number {
			add(
				"number", "note %d comes after note %d: notes must come once each, lowest first",
				n.Number, s[i-1].Number,
			)
		}
		if n.Strings < minStrings || n.Strings > maxStrings {
			add("strings", "a note must have %d to %d strings, not %d", minStrings, maxStrings, n.Strings)
		}
		sane := within(add, "length", n.LengthMM, minLengthMM, maxLengthMM)
		sane = within(add, "core", n.CoreMM, minCoreMM, maxCoreMM) && sane
		switch {
		case n.OverallMM == 0:
		case n.OverallMM < n.CoreMM+thinnestCoverMM:
			add(
				"overall",
				"%g mm overall over a core of %g mm: the covering must be at least %g mm in all",
				n.OverallMM, n.CoreMM, thinnestCoverMM,
			)
			sane = false
		case n.OverallMM > maxOverallMM:
			add("overall", "a string must be at most %d mm overall, not %g mm", maxOverallMM, n.OverallMM)
			sane = false
		}
		if !sane {
			continue
		}
		if load, err := A228Maximum.BreakingLoad(n.CoreMM); err == nil {
			if p := PercentOf(n.Tension(a4), load); p > maxPercentOfMaximum {
				add(
					"length",
					"at %g mm and A4 = %g Hz the string bears %.0f %% of what the strongest wire of ASTM A228 does: it would break",
					n.LengthMM, a4, p,
				)
			}
		}
	}
	return list
}

func within(add func(field, format string, args ...any), field string, v, low, high float64) bool {
	if v >= low && v <= high {
		return true
	}
	add(field, "a string's %s must be from %g to %g mm, not %g mm", field, low, high, v)
	return false
}
