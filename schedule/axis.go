package schedule

import (
	"math/bits"
	"strings"
	"time"
)

// MaxSpanYears is the longest axis.
const MaxSpanYears = 100

// maxTicks is the longest axis in ticks, every quarter hour of MaxSpanYears being worked; no length of time in a network may exceed it.
const maxTicks = Ticks(MaxSpanYears*366*Day) / Ticks(TickMinutes)

// Axis numbers the working ticks of the union of several calendars between two instants: 0, 1, 2, … without gaps. Both conversions,
// position to instant and instant to position, are O(1): a table one way, a bit per quarter hour with running counts the other.
// An Axis is immutable and safe for concurrent use.
type Axis struct {
	open   *grid
	ranks  []int32    // ticks before each word of open, and in all
	slots  []int32    // the slot of each tick
	masks  [][]uint64 // per calendar, a bit per tick
	zone   *time.Location
	closes Instant // end of the span
}

// NewAxis lays out the ticks at which at least one of the calendars works, between from (rounded up) and to (rounded down). It returns a
// *SpanError when the span is reversed, too long or outside the years 1 to 9999, a *NoHoursError when no calendar works in it, and a
// *ZoneError when a zone's offset from UTC is off the quarter hour.
func NewAxis(from, to time.Time, calendars ...*Calendar) (*Axis, error) {
	if from.Year() < 1 || to.Year() > 9999 || !to.After(from) || to.After(from.AddDate(MaxSpanYears, 0, 0)) {
		return nil, &SpanError{from, to}
	}
	base := quarterAfter(InstantAfter(from))
	span := max(0, int64(InstantBefore(to)-base))
	union := newGrid(base, int(span/int64(TickMinutes)))
	painted := make([]*grid, len(calendars))
	names := make([]string, len(calendars))
	for i, c := range calendars {
		if c == nil || c.zone == nil {
			return nil, &ZoneError{}
		}
		names[i] = c.name
		painted[i] = newGrid(base, union.slots)
		if err := c.paint(painted[i]); err != nil {
			return nil, err
		}
		union.merge(painted[i])
	}
	a := layOut(union, painted)
	if a.Len() == 0 {
		return nil, &NoHoursError{strings.Join(names, ", ")}
	}
	a.zone = calendars[0].zone
	return a, nil
}

// NewOpenAxis is an axis that never closes: tick k is the k-th quarter hour after 1970-01-01 00:00 UTC, so that working and elapsed time
// are the same. It serves networks in plain integer time, one tick being one unit. It returns a *SpanError for a length that is not
// positive or exceeds MaxSpanYears.
func NewOpenAxis(length Ticks) (*Axis, error) {
	if length <= 0 || length > maxTicks {
		return nil, &SpanError{From: Instant(0).UTC(), To: Instant(0).Add(min(length, 2*maxTicks).Minutes()).UTC()}
	}
	all := newGrid(0, int(length))
	all.set(0, all.end())
	a := layOut(all, nil)
	a.zone = time.UTC
	return a, nil
}

// layOut numbers the marked slots and cuts each calendar's grid down to them.
func layOut(union *grid, calendars []*grid) *Axis {
	a := &Axis{open: union, ranks: make([]int32, len(union.words)+1), masks: make([][]uint64, len(calendars)), closes: union.end()}
	for i, w := range union.words {
		a.ranks[i+1] = a.ranks[i] + int32(bits.OnesCount64(w)) //nolint:gosec // at most 64
	}
	a.slots = make([]int32, a.ranks[len(union.words)])
	next := 0
	for i, w := range union.words {
		for ; w != 0; w &= w - 1 {
			a.slots[next] = int32(i<<6 + bits.TrailingZeros64(w)) //nolint:gosec // below maxTicks
			next++
		}
	}
	for c, g := range calendars {
		a.masks[c] = make([]uint64, (len(a.slots)+63)/64)
		for t, slot := range a.slots {
			if g.has(slot) {
				a.masks[c][t>>6] |= 1 << (t & 63)
			}
		}
	}
	return a
}

func quarterAfter(i Instant) Instant {
	if r := ((i % Instant(TickMinutes)) + Instant(TickMinutes)) % Instant(TickMinutes); r != 0 {
		i += Instant(TickMinutes) - r
	}
	return i
}

// Len is the number of ticks.
func (a *Axis) Len() Ticks { return Ticks(len(a.slots)) }

// From is the start of the span, rounded up to the quarter hour.
func (a *Axis) From() Instant { return a.open.base }

// To is the end of the span, rounded down to the quarter hour.
func (a *Axis) To() Instant { return a.closes }

// Zone is the time zone of the first calendar; UTC for an open axis.
func (a *Axis) Zone() *time.Location { return a.zone }

// Time is the instant on the clock of Zone.
func (a *Axis) Time(i Instant) time.Time { return i.In(a.zone) }

// StartOf is the instant at which tick t begins; false when the axis has no such tick.
func (a *Axis) StartOf(t Ticks) (Instant, bool) {
	if t < 0 || t >= a.Len() {
		return 0, false
	}
	return a.start(t), true
}

// EndOf is the instant at which tick t ends; false when the axis has no such tick.
func (a *Axis) EndOf(t Ticks) (Instant, bool) {
	i, ok := a.StartOf(t)
	if !ok {
		return 0, false
	}
	return i.Add(TickMinutes), true
}

// FirstFrom is the first tick that starts at or after i; false when there is none.
func (a *Axis) FirstFrom(i Instant) (Ticks, bool) {
	t := a.ceil(min(max(i, minInstant), maxInstant))
	return t, t < a.Len()
}

// LastBy is the last tick that ends at or before i; false when there is none.
func (a *Axis) LastBy(i Instant) (Ticks, bool) {
	t := a.floor(min(max(i, minInstant), maxInstant)) - 1
	return max(0, t), t >= 0
}

// Calendars is the number of calendars the axis was built from.
func (a *Axis) Calendars() int { return len(a.masks) }

// Works reports whether the calendar with that index (in NewAxis's order) works during tick t; false outside the axis.
func (a *Axis) Works(calendar int, t Ticks) bool {
	if calendar < 0 || calendar >= len(a.masks) || t < 0 || t >= a.Len() {
		return false
	}
	return a.masks[calendar][t>>6]>>(t&63)&1 != 0
}

// start is the instant at which tick t begins; t is on the axis.
func (a *Axis) start(t Ticks) Instant { return a.open.base.Add(Minutes(a.slots[t]) * TickMinutes) }

// endBefore is the end of the tick before position p, the earliest instant at that position; before or beyond the axis it is minInstant
// or maxInstant.
func (a *Axis) endBefore(p Ticks) Instant {
	switch {
	case p <= 0:
		return minInstant
	case p > a.Len():
		return maxInstant
	}
	return a.start(p - 1).Add(TickMinutes)
}

// startAfter is the start of the tick at position p, the latest instant at that position; outside the axis as endBefore.
func (a *Axis) startAfter(p Ticks) Instant {
	switch {
	case p < 0:
		return minInstant
	case p >= a.Len():
		return maxInstant
	}
	return a.start(p)
}

// ceil is the number of ticks that start before i, and so the first position at or after it.
func (a *Axis) ceil(i Instant) Ticks {
	return a.rank((int64(i-a.open.base) + int64(TickMinutes) - 1) / int64(TickMinutes))
}

// floor is the number of ticks that have ended by i, and so the last position at or before it.
func (a *Axis) floor(i Instant) Ticks { return a.rank(int64(i-a.open.base) / int64(TickMinutes)) }

// rank is the number of ticks in the slots before one; slots off the grid count as its nearer end.
func (a *Axis) rank(slot int64) Ticks {
	if slot <= 0 {
		return 0
	}
	if slot >= int64(a.open.slots) {
		return a.Len()
	}
	word := a.open.words[slot>>6] & (1<<(slot&63) - 1)
	return Ticks(a.ranks[slot>>6]) + Ticks(bits.OnesCount64(word))
}

// minInstant and maxInstant lie beyond every axis, with room to add any length of time to them.
const (
	minInstant Instant = -1 << 60
	maxInstant Instant = 1 << 60
)
