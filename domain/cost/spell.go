package cost

import (
	"slices"

	"bentside/domain"
)

// Spell is a time during which an instrument that we sold was its buyer's: after the day of the
// hand-over and before the day of the return. What was done on those two days counts as ours.
type Spell struct {
	LeftOn domain.Date
	BackOn domain.Date // zero: it hasn't come back
}

// Has reports whether a day is in the spell.
func (s Spell) Has(day domain.Date) bool {
	return day.Compare(s.LeftOn) > 0 && (s.BackOn.IsZero() || day.Compare(s.BackOn) < 0)
}

// isOut reports whether an instrument hasn't come back from its last buyer, given all spells.
func isOut(spells []Spell) bool {
	return len(spells) > 0 && spells[len(spells)-1].BackOn.IsZero()
}

// WereTheirs reports whether an instrument was a buyer's on a day.
func WereTheirs(spells []Spell, day domain.Date) bool {
	return slices.ContainsFunc(spells, func(s Spell) bool { return s.Has(day) })
}
