package domain

import "unicode/utf8"

// Limits of what may be entered.
const (
	MaxName      = 200      // characters of a name
	MaxText      = 2000     // characters of an address or a note
	MaxDaysAhead = 20 * 366 // days from now to the last day that is promised or quoted
	MaxDaysBack  = 50 * 366 // days since anything that is recorded happened: 50 years
	MaxRestDays  = 3 * 366  // days that work is suspended, or somebody away, at a time
)

// checkName notes a fault unless a name is given and short enough.
func (f *Faults) checkName(name string) { f.checkNameAt("#/name", name) }

// checkNameAt is checkName for a name that stands elsewhere.
func (f *Faults) checkNameAt(pointer, name string) {
	if name == "" || utf8.RuneCountInString(name) > MaxName {
		f.Add(pointer, "must be given, in at most %d characters", MaxName)
	}
}
