package schedule

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Clock is a wall-clock time in minutes after midnight, 0 to 1440.
type Clock int

// String formats the time as 08:00; midnight at the end of a day is 24:00.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

// Shift is an uninterrupted interval of working time on a day, [From, To) by the wall clock. A
// break is the gap between two of them.
type Shift struct{ From, To Clock }

// String formats the interval as 08:00-12:00.
func (h Shift) String() string { return h.From.String() + "-" + h.To.String() }

// Week holds the working hours of each day, indexed by time.Weekday (Sunday is 0). A day without
// hours is closed.
type Week [7][]Shift

// Date is a calendar day without a time zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// String formats the date by ISO 8601.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// valid reports whether d exists and lies in the years 1 to 9999.
func (d Date) valid() bool {
	t := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
	return d.Year >= 1 && d.Year <= 9999 && t.Month() == d.Month && t.Day() == d.Day
}

// epochDay returns the number of days since 1970-01-01.
func (d Date) epochDay() int64 {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60)
}

// Exception replaces the weekly hours on every day from First to Last inclusive. Without Hours the
// days are closed (a holiday, or leave); Hours on a closed day make it an extra working day. Where
// exceptions overlap, the later one in the list applies.
type Exception struct {
	Name        string
	First, Last Date
	Hours       []Shift
}

// Calendar is a validated weekly pattern with exceptions in one time zone. It is immutable;
// NewCalendar builds it.
type Calendar struct {
	name       string
	zone       *time.Location
	week       Week
	exceptions []Exception
}

// NewCalendar validates the pattern and copies it. It returns (joined, for errors.As) an
// *HoursError for each day whose hours are off the quarter hour, reversed, overlapping or outside
// the day, and for each exception whose dates don't exist or run backward; a *ZoneError if zone is
// nil; and a *NoHoursError if no day has any hours.
func NewCalendar(
	name string, zone *time.Location, week Week, exceptions ...Exception,
) (*Calendar, error) {
	c := &Calendar{name: name, zone: zone, exceptions: slices.Clone(exceptions)}
	var faults []error
	if zone == nil {
		faults = append(faults, &ZoneError{Calendar: name})
	}
	open := false
	for day, hours := range week {
		c.week[day] = sorted(hours)
		open = open || len(hours) > 0
		faults = append(faults, c.check(time.Weekday(day).String(), c.week[day])...)
	}
	for i := range c.exceptions {
		e := &c.exceptions[i]
		e.Hours = sorted(e.Hours)
		open = open || len(e.Hours) > 0
		day := fmt.Sprintf("%s (%s)", e.First, e.Name)
		if !e.First.valid() || !e.Last.valid() || e.Last.epochDay() < e.First.epochDay() {
			faults = append(faults,
				&HoursError{
					name, day, Shift{}, fmt.Sprintf("%s to %s must be existing days in order", e.First, e.Last),
				})
		}
		faults = append(faults, c.check(day, e.Hours)...)
	}
	if !open {
		faults = append(faults, &NoHoursError{Calendar: name})
	}
	if len(faults) > 0 {
		return nil, errors.Join(faults...)
	}
	return c, nil
}

func sorted(hours []Shift) []Shift {
	hours = slices.Clone(hours)
	slices.SortFunc(hours, func(a, b Shift) int { return int(a.From) - int(b.From) })
	return hours
}

// check returns what is wrong with one day's hours, which must be sorted.
func (c *Calendar) check(day string, hours []Shift) []error {
	var faults []error
	for i, h := range hours {
		problem := ""
		switch {
		case h.From < 0 || h.To > Clock(Day):
			problem = "must lie within the day"
		case h.To <= h.From:
			problem = "must end after they start"
		case h.From%Clock(TickMinutes) != 0 || h.To%Clock(TickMinutes) != 0:
			problem = "must start and end on a quarter hour"
		case i > 0 && h.From < hours[i-1].To:
			problem = "must not overlap " + hours[i-1].String()
		}
		if problem != "" {
			faults = append(faults, &HoursError{c.name, day, h, problem})
		}
	}
	return faults
}

// mark sets the slots of g in which the calendar works. A quarter hour is worked if its wall-clock
// time lies in the day's hours: an hour that the spring change skips is not worked, an hour that
// the autumn change repeats is worked twice, and a quarter hour in which the clocks change (at one
// minute past midnight, in Newfoundland until 2011) is not worked.
func (c *Calendar) mark(g *grid) error {
	for at := g.base; at < g.end(); {
		name, offset := at.In(c.zone).Zone()
		if offset%int(TickMinutes*60) != 0 {
			return &ZoneError{c.name, name, offset}
		}
		until, next := c.sameOffset(at, offset, g.end())
		c.markInterval(g, at, until, Minutes(offset/60))
		at = next
	}
	return nil
}

// sameOffset returns until when local time keeps its offset from UTC, at most until limit, and
// where the next offset begins: the same instant, except for changes that fall between two minutes.
func (c *Calendar) sameOffset(at Instant, offset int, limit Instant) (until, next Instant) {
	for local := at.In(c.zone); ; {
		_, change := local.ZoneBounds()
		if change.IsZero() || InstantBefore(change) >= limit {
			return limit, limit
		}
		same := change
		if !change.After(local) {
			// Beyond the zone's table, years are bounded by a rule, and on the last day of a leap
			// year that bound has already passed.
			same, change = local, local.Add(time.Duration(TickMinutes)*time.Minute)
		}
		if _, then := change.Zone(); then != offset {
			return InstantBefore(same), InstantAfter(change)
		}
		local = change
	}
}

// markInterval marks [from, until), throughout which local time is UTC plus offset.
func (c *Calendar) markInterval(g *grid, from, until Instant, offset Minutes) {
	paintDay := func(day int64, hours []Shift) {
		midnight := Instant(day * int64(Day)).Add(-offset)
		for _, h := range hours {
			g.set(max(from, midnight.Add(Minutes(h.From))), min(until, midnight.Add(Minutes(h.To))))
		}
	}
	first, last := epochDay(from.Add(offset)), epochDay(until.Add(offset-1))
	for day := first; day <= last; day++ {
		paintDay(day, c.week[weekday(day)])
	}
	for _, e := range c.exceptions {
		for day := max(first, e.First.epochDay()); day <= min(last, e.Last.epochDay()); day++ {
			midnight := Instant(day * int64(Day)).Add(-offset)
			g.clear(max(from, midnight), min(until, midnight.Add(Day)))
			paintDay(day, e.Hours)
		}
	}
}

// epochDay returns the day that contains i, counted from 1970-01-01 and rounded down before it.
func epochDay(i Instant) int64 {
	day := int64(i) / int64(Day)
	if int64(i)%int64(Day) < 0 {
		day--
	}
	return day
}

// weekday returns the day of the week of an epoch day; day 0 was a Thursday.
func weekday(day int64) time.Weekday {
	return time.Weekday(((day+int64(time.Thursday))%7 + 7) % 7)
}
