package books

import (
	"bentside/domain"
)

// Books are the books of a workshop as far as they are closed.
type Books struct {
	ClosedThrough domain.Date // the last closed day; zero: nothing is closed
}

// PostingDay returns the day on which a record counts: the first open day on or after all of the
// days that are given. They are the day on which it took place, and those on which what it refers
// to counts, since nothing is taken back before it was there.
func (b Books) PostingDay(days ...domain.Date) domain.Date {
	var day domain.Date
	if !b.ClosedThrough.IsZero() {
		day = b.ClosedThrough.AddDays(1)
	}
	for _, d := range days {
		if day.IsZero() || d.Compare(day) > 0 {
			day = d
		}
	}
	return day
}

// IsOpen reports whether something may count on a day.
func (b Books) IsOpen(day domain.Date) bool {
	return b.ClosedThrough.IsZero() || day.Compare(b.ClosedThrough) > 0
}

// CheckOpen returns a Conflict Fault where a day is closed on which something must count, since it
// can't count on another, as the balances that a workshop begins with.
func (b Books) CheckOpen(day domain.Date) error {
	if b.IsOpen(day) {
		return nil
	}
	return domain.Refuse(domain.Conflict, "it counts on %s, and the books are closed through %s: reopen "+
		"them from %s on first", day, b.ClosedThrough, day)
}

// Usable returns a Conflict Fault where nothing that happened can be posted on a day that has come:
// only in a workshop whose clock was put back across midnight, by another time zone, after it had
// closed its books.
func (b Books) Usable(today domain.Date) error {
	if b.IsOpen(today) {
		return nil
	}
	return domain.Refuse(domain.Conflict, "the books are closed through %s, and today is %s: post it "+
		"tomorrow, or reopen the books", b.ClosedThrough, today)
}
