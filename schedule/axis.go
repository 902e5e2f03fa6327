package schedule

import (
	"math/bits"
	"strings"
	"time"
)

// MaxSpanYears is the greatest length of an axis in years.
const MaxSpanYears = 100

// maxTicks is the number of ticks on the longest axis if every quarter hour were worked; no
// duration in a network may exceed it.
const maxTicks = Ticks(MaxSpanYears*366*Day) / Ticks(TickMinutes)

// Axis numbers the working ticks of the union of several calendars between two instants: 0, 1, 2, …
// without gaps. Converting a position to an instant and back takes O(1): a table one way, one bit
// per quarter hour with running counts the other way. An Axis is immutable and safe for concurrent
// use.
type Axis struct {
	open   *grid
	ranks  []int32 // per word of open, the ticks before it; then the total
	slots  []int32 // per tick, its slot
	zone   *time.Location
	closes Instant // end of the span
}

// NewAxis numbers the ticks that at least one of the calendars works, between from (rounded up) and
// to (rounded down). It returns a *SpanError if the span is reversed, too long or outside the years
// 1 to 9999, a *NoHoursError if no calendar works in it, and a *ZoneError if a zone's offset from
// UTC isn't a whole number of quarter hours.
func NewAxis(from, to time.Time, calendars ...*Calendar) (*Axis, error) {
	if from.Year() < 1 || to.Year() > 9999 || !to.After(from) ||
		to.After(from.AddDate(MaxSpanYears, 0, 0)) {
		return nil, &SpanError{from, to}
	}
	base := roundUpToTick(InstantAfter(from))
	span := max(0, int64(InstantBefore(to)-base))
	union := newGrid(base, int(span/int64(TickMinutes)))
	names := make([]string, len(calendars))
	for i, c := range calendars {
		if c == nil || c.zone == nil {
			return nil, &ZoneError{}
		}
		names[i] = c.name
		own := newGrid(base, union.slots)
		if err := c.mark(own); err != nil {
			return nil, err
		}
		union.merge(own)
	}
	a := layOut(union)
	if a.Len() == 0 {
		return nil, &NoHoursError{strings.Join(names, ", ")}
	}
	a.zone = calendars[0].zone
	return a, nil
}

// layOut numbers the marked slots.
func layOut(union *grid) *Axis {
	a := &Axis{open: union, ranks: make([]int32, len(union.words)+1), closes: union.end()}
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
	return a
}

func roundUpToTick(i Instant) Instant {
	if r := ((i % Instant(TickMinutes)) + Instant(TickMinutes)) % Instant(TickMinutes); r != 0 {
		i += Instant(TickMinutes) - r
	}
	return i
}

// Len returns the number of ticks.
func (a *Axis) Len() Ticks { return Ticks(len(a.slots)) }

// From returns the start of the span, rounded up to the quarter hour.
func (a *Axis) From() Instant { return a.open.base }

// To returns the end of the span, rounded down to the quarter hour.
func (a *Axis) To() Instant { return a.closes }

// Time converts an instant to local time in Zone.
func (a *Axis) Time(i Instant) time.Time { return i.In(a.zone) }

// StartOf returns the instant at which tick t begins; false if the axis has no such tick.
func (a *Axis) StartOf(t Ticks) (Instant, bool) {
	if t < 0 || t >= a.Len() {
		return 0, false
	}
	return a.start(t), true
}

// EndOf returns the instant at which tick t ends; false if the axis has no such tick.
func (a *Axis) EndOf(t Ticks) (Instant, bool) {
	i, ok := a.StartOf(t)
	if !ok {
		return 0, false
	}
	return i.Add(TickMinutes), true
}

// FirstFrom returns the first tick that starts at or after i; false if there is none.
func (a *Axis) FirstFrom(i Instant) (Ticks, bool) {
	t := a.ceil(min(max(i, minInstant), maxInstant))
	return t, t < a.Len()
}

// start returns the instant at which tick t begins; t must be on the axis.
func (a *Axis) start(t Ticks) Instant { return a.open.base.Add(Minutes(a.slots[t]) * TickMinutes) }

// endBefore returns the end of the tick before position p, the earliest instant at that position;
// minInstant before the axis, maxInstant beyond it.
func (a *Axis) endBefore(p Ticks) Instant {
	switch {
	case p <= 0:
		return minInstant
	case p > a.Len():
		return maxInstant
	}
	return a.start(p - 1).Add(TickMinutes)
}

// startAfter returns the start of the tick at position p, the latest instant at that position;
// minInstant before the axis, maxInstant beyond it.
func (a *Axis) startAfter(p Ticks) Instant {
	switch {
	case p < 0:
		return minInstant
	case p >= a.Len():
		return maxInstant
	}
	return a.start(p)
}

// ceil returns the number of ticks that start before i, which is the first position at or after it.
func (a *Axis) ceil(i Instant) Ticks {
	return a.rank((int64(i-a.open.base) + int64(TickMinutes) - 1) / int64(TickMinutes))
}

// floor returns the number of ticks that have ended by i, which is the last position at or before
// it.
func (a *Axis) floor(i Instant) Ticks { return a.rank(int64(i-a.open.base) / int64(TickMinutes)) }

// rank returns the number of ticks in the slots before one; a slot off the grid counts as the
// nearer end.
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

// minInstant and maxInstant lie beyond every axis, with room to add any duration.
const (
	minInstant Instant = -1 << 60
	maxInstant Instant = 1 << 60
)
