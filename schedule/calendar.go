package schedule

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Clock is a wall-clock reading in minutes after midnight, 0 to 1440.
type Clock int

// At is the Clock reading of hour:minute.
func At(hour, minute int) Clock { return Clock(hour*60 + minute) }

// String is the reading as 08:00; midnight at the end of a day is 24:00.
func (c Clock) String() string { return fmt.Sprintf("%02d:%02d", int(c)/60, int(c)%60) }

// Hours is one unbroken stretch of working time on a day, [From, To) by the wall clock. A break is the gap between two of them.
type Hours struct{ From, To Clock }

// String is the stretch as 08:00-12:00.
func (h Hours) String() string { return h.From.String() + "-" + h.To.String() }

// Week holds the working hours of each day, indexed by time.Weekday (Sunday is 0). An empty day is closed.
type Week [7][]Hours

// Date is a day of the calendar without a time zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// String is the ISO 8601 form.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// valid reports whether d is a day of the years 1 to 9999.
func (d Date) valid() bool {
	t := time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC)
	return d.Year >= 1 && d.Year <= 9999 && t.Month() == d.Month && t.Day() == d.Day
}

// epochDay counts days since 1970-01-01.
func (d Date) epochDay() int64 {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60)
}

// Exception replaces the weekly hours on every day from First to Last inclusive. No Hours means closed: a holiday, or leave; Hours on a
// closed day make it an extra day. Where exceptions overlap, the later one in the list holds.
type Exception struct {
	Name        string
	First, Last Date
	Hours       []Hours
}

// Calendar is a validated weekly pattern with exceptions in one time zone. It is immutable; build it with NewCalendar.
type Calendar struct {
	name       string
	zone       *time.Location
	week       Week
	exceptions []Exception
}

// NewCalendar checks the pattern and copies it. It returns (joined, for errors.As) an *HoursError for each day whose hours are off the
// quarter hour, reversed, overlapping or outside the day, and for each exception whose dates don't exist or run backward; a *ZoneError
// when zone is nil; and a *NoHoursError when no day has any hours.
func NewCalendar(name string, zone *time.Location, week Week, exceptions ...Exception) (*Calendar, error) {
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
			faults = append(faults, &HoursError{name, day, Hours{}, fmt.Sprintf("%s to %s is no run of days", e.First, e.Last)})
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

// Name is the name given to NewCalendar.
func (c *Calendar) Name() string { return c.name }

// Zone is the time zone given to NewCalendar.
func (c *Calendar) Zone() *time.Location { return c.zone }

func sorted(hours []Hours) []Hours {
	hours = slices.Clone(hours)
	slices.SortFunc(hours, func(a, b Hours) int { return int(a.From) - int(b.From) })
	return hours
}

// check names what is wrong with one day's hours, which are sorted.
func (c *Calendar) check(day string, hours []Hours) []error {
	var faults []error
	for i, h := range hours {
		problem := ""
		switch {
		case h.From < 0 || h.To > Clock(Day):
			problem = "outside the day"
		case h.To <= h.From:
			problem = "must end after they start"
		case h.From%Clock(TickMinutes) != 0 || h.To%Clock(TickMinutes) != 0:
			problem = "must start and end on a quarter hour"
		case i > 0 && h.From < hours[i-1].To:
			problem = "overlap " + hours[i-1].String()
		}
		if problem != "" {
			faults = append(faults, &HoursError{c.name, day, h, problem})
		}
	}
	return faults
}

// paint sets the slots of grid at which the calendar works. A quarter hour works when its wall-clock reading lies in the day's hours: an
// hour that the spring change skips is not worked, an hour that the autumn change repeats is worked twice, and a quarter hour inside which
// the clocks change (at one minute past midnight, in Newfoundland until 2011) is not worked.
func (c *Calendar) paint(g *grid) error {
	for at := g.base; at < g.end(); {
		name, offset := at.In(c.zone).Zone()
		if offset%int(TickMinutes*60) != 0 {
			return &ZoneError{c.name, name, offset}
		}
		until, next := c.sameOffset(at, offset, g.end())
		c.paintStretch(g, at, until, Minutes(offset/60))
		at = next
	}
	return nil
}

// sameOffset is how long local time keeps its offset from UTC, at most until limit, and where the next offset begins: the same instant,
// but for changes that fall between two minutes.
func (c *Calendar) sameOffset(at Instant, offset int, limit Instant) (until, next Instant) {
	for local := at.In(c.zone); ; {
		_, change := local.ZoneBounds()
		if change.IsZero() || InstantBefore(change) >= limit {
			return limit, limit
		}
		same := change
		if !change.After(local) {
			// Beyond the zone's table years are bounded by rule, and on the last day of a leap year that bound has already passed.
			same, change = local, local.Add(time.Duration(TickMinutes)*time.Minute)
		}
		if _, then := change.Zone(); then != offset {
			return InstantBefore(same), InstantAfter(change)
		}
		local = change
	}
}

// paintStretch paints [from, until), throughout which local time is UTC plus offset.
func (c *Calendar) paintStretch(g *grid, from, until Instant, offset Minutes) {
	paintDay := func(day int64, hours []Hours) {
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

// epochDay is the day that holds i, counted from 1970-01-01, rounding down before it.
func epochDay(i Instant) int64 {
	day := int64(i) / int64(Day)
	if int64(i)%int64(Day) < 0 {
		day--
	}
	return day
}

// weekday is the day of the week of an epoch day; day 0 was a Thursday.
func weekday(day int64) time.Weekday {
	return time.Weekday(((day+int64(time.Thursday))%7 + 7) % 7)
}
