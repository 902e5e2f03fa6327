package domain

import (
	"cmp"
	"fmt"
	"time"
)

// Date is a calendar day in the workshop's zone. The zero Date means that no day is given.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf returns the day of an instant in its location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads an ISO 8601 calendar date such as 2026-11-25.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("date %q must be written like 2026-11-25", s)
	}
	return DateOf(t), nil
}

// In returns the first instant of the day in a zone.
func (d Date) In(loc *time.Location) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
}

// AddDays returns the day n days later.
func (d Date) AddDays(n int) Date { return DateOf(d.In(time.UTC).AddDate(0, 0, n)) }

// DaysUntil returns the number of days from d to e, negative where e is earlier.
func (d Date) DaysUntil(e Date) int {
	return int(e.In(time.UTC).Sub(d.In(time.UTC)).Hours() / 24)
}

// Compare returns -1 where d is before e, 1 where it is after, and 0 where they are the same day.
func (d Date) Compare(e Date) int { return cmp.Compare(e.DaysUntil(d), 0) }

// IsZero reports whether no day is given.
func (d Date) IsZero() bool { return d == Date{} }

// String returns the ISO 8601 form.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, int(d.Month), d.Day) }

// MarshalText returns the ISO 8601 form.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the ISO 8601 form.
func (d *Date) UnmarshalText(b []byte) error {
	v, err := ParseDate(string(b))
	*d = v
	return err
}

// Span words a number of days, in weeks where they are whole ones. The text is stored in plans and
// bids.
func Span(days int) string {
	n, unit := days, "day"
	if days%7 == 0 {
		n, unit = days/7, "week"
	}
	if n != 1 {
		unit += "s"
	}
	return fmt.Sprintf("%d %s", n, unit)
}
