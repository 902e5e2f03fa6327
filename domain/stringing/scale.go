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

// MassKgPerM is the mass of one of the strings in kg/m.
func (n Note) MassKgPerM() float64 {
	if n.Covered() {
		return CoveredMass(n.CoreMM, n.OverallMM)
	}
	return PlainMass(n.CoreMM)
}

// Tension is the tension of one of the strings in newtons, at A4 = a4 hertz.
func (n Note) Tension(a4 float64) float64 {
	return Tension(Frequency(n.Number, a4), n.LengthMM, n.MassKgPerM())
}

// Scale is the strings of an instrument, lowest note first.
type Scale []Note

// Strings is how many strings there are, and how many of them are covered.
func (s Scale) Strings() (all, covered int) {
	for _, n := range s {
		all += n.Strings
		if n.Covered() {
			covered += n.Strings
		}
	}
	return all, covered
}

// Fault is one thing that cannot be true of a row of a scale.
type Fault struct {
	Row   int    // position in the scale
	Field string // number, strings, length, core, overall
	Says  string
}

// Bounds within which a measured string is one: the shortest treble and the
// longest bass of a concert grand, wire and covering with room on both sides
// (common practice, no source).
const (
	minLengthMM, maxLengthMM   = 30, 2500
	minCoreMM, maxCoreMM       = 0.5, 2.5
	maxOverallMM               = 10
	minStrings, maxStrings     = 1, 4
	thinnestCoverMM            = 0.1
	maxPercentOfMaximum        = 100 // of the strongest wire of the standard
	lowestNumber, highestNotes = 1, 108
)

// Faults are all things that cannot be true of the scale, row by row: a figure
// out of bounds, a covering thinner than its core, notes out of order or twice,
// and a string that would be broken at the pitch. Nothing where the scale can stand.
func (s Scale) Faults(a4 float64) []Fault {
	var list []Fault
	for i, n := range s {
		add := func(field, format string, args ...any) {
			list = append(list, Fault{Row: i, Field: field, Says: fmt.Sprintf(format, args...)})
		}
		if n.Number < lowestNumber || n.Number > highestNotes {
			add("number", "%d is no note; notes run from 1 (A0) to %d", n.Number, highestNotes)
		} else if i > 0 && n.Number <= s[i-1].Number {
			add("number", "note %d stands after note %d: notes come once each, lowest first", n.Number, s[i-1].Number)
		}
		if n.Strings < minStrings || n.Strings > maxStrings {
			add("strings", "%d strings to a note; there are from %d to %d", n.Strings, minStrings, maxStrings)
		}
		sane := within(add, "length", n.LengthMM, minLengthMM, maxLengthMM)
		sane = within(add, "core", n.CoreMM, minCoreMM, maxCoreMM) && sane
		switch {
		case n.OverallMM == 0:
		case n.OverallMM < n.CoreMM+thinnestCoverMM:
			add("overall", "%g mm overall over a core of %g mm: the covering is at least %g mm in all", n.OverallMM, n.CoreMM, thinnestCoverMM)
			sane = false
		case n.OverallMM > maxOverallMM:
			add("overall", "%g mm is no string; one is at most %d mm overall", n.OverallMM, maxOverallMM)
			sane = false
		}
		if !sane {
			continue
		}
		if load, err := A228Maximum.BreakingLoad(n.CoreMM); err == nil {
			if p := PercentOf(n.Tension(a4), load); p > maxPercentOfMaximum {
				add("length", "at %g mm and A4 = %g Hz the string bears %.0f %% of what the strongest wire of ASTM A228 does: it would be broken", n.LengthMM, a4, p)
			}
		}
	}
	return list
}

func within(add func(field, format string, args ...any), field string, v, low, high float64) bool {
	if v >= low && v <= high {
		return true
	}
	add(field, "%g mm is no %s of a string; it lies from %g to %g mm", v, field, low, high)
	return false
}
