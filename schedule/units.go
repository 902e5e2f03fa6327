package schedule

import "time"

// Ticks counts working ticks of TickMinutes each. As a position on an Axis it is the number of
// ticks before that point, so an activity that starts at position s and works w ticks occupies the
// half-open range [s, s+w).
type Ticks int

// Minutes is an elapsed duration, nights and weekends included.
type Minutes int64

// Instant is a point in time: minutes since 1970-01-01 00:00 UTC.
type Instant int64

const (
	// TickMinutes is the length of one tick.
	TickMinutes Minutes = 15
	// TicksPerHour converts hours of work to ticks.
	TicksPerHour Ticks = 4
	// Hour is 60 elapsed minutes.
	Hour Minutes = 60
	// Day is 24 elapsed hours, whatever the clocks do.
	Day Minutes = 24 * Hour
)

// Minutes returns the elapsed time of t ticks worked without a break.
func (t Ticks) Minutes() Minutes { return Minutes(t) * TickMinutes }

// Add returns the instant m minutes later (earlier if m is negative).
func (i Instant) Add(m Minutes) Instant { return i + Instant(m) }

// UTC converts the instant to a time in UTC.
func (i Instant) UTC() time.Time { return time.Unix(int64(i)*60, 0).UTC() }

// In converts the instant to a time in loc, which must not be nil.
func (i Instant) In(loc *time.Location) time.Time { return time.Unix(int64(i)*60, 0).In(loc) }

// InstantAfter returns the first whole minute at or after t; release dates, fixed starts and the
// data date are rounded this way.
func InstantAfter(t time.Time) Instant {
	i := InstantBefore(t)
	if i.UTC().Before(t) {
		i++
	}
	return i
}

// InstantBefore returns the last whole minute at or before t; deadlines are rounded this way.
func InstantBefore(t time.Time) Instant {
	s := t.Unix()
	m := s / 60
	if s%60 < 0 {
		m--
	}
	return Instant(m)
}
