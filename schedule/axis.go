package schedule

import "time"

// Axis numbers the working ticks of the union of several calendars between two instants: 0, 1, 2, … without gaps. Both conversions,
// position to instant and instant to position, are O(1). An Axis is immutable and safe for concurrent use.
type Axis struct{}

// NewAxis lays out the ticks at which at least one of the calendars works, between from (rounded up) and to (rounded down).
// It returns a *SpanError when the span is reversed or longer than MaxSpanYears, a *NoHoursError when no calendar works in it, and a
// *ZoneError when a zone's offset is off the quarter hour.
func NewAxis(from, to time.Time, calendars ...*Calendar) (*Axis, error) { return &Axis{}, nil }

// NewOpenAxis is an axis that never closes: tick k is the k-th quarter hour after 1970-01-01 00:00 UTC, so that working and elapsed time
// are the same. It serves networks in plain integer time, one tick being one unit.
func NewOpenAxis(length Ticks) (*Axis, error) { return &Axis{}, nil }

// Len is the number of ticks.
func (a *Axis) Len() Ticks { return 0 }

// StartOf is the instant at which tick t begins; false when the axis has no such tick.
func (a *Axis) StartOf(t Ticks) (Instant, bool) { return 0, false }

// EndOf is the instant at which tick t ends; false when the axis has no such tick.
func (a *Axis) EndOf(t Ticks) (Instant, bool) { return 0, false }

// FirstFrom is the first tick that starts at or after i; false when there is none.
func (a *Axis) FirstFrom(i Instant) (Ticks, bool) { return 0, false }

// LastBy is the last tick that ends at or before i; false when there is none.
func (a *Axis) LastBy(i Instant) (Ticks, bool) { return 0, false }

// Calendars is the number of calendars the axis was built from.
func (a *Axis) Calendars() int { return 0 }

// Works reports whether the calendar with that index (in NewAxis's order) works during tick t; false outside the axis.
func (a *Axis) Works(calendar int, t Ticks) bool { return false }

// MaxSpanYears is the longest axis.
const MaxSpanYears = 100
