package hours

import (
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// Approval is somebody's word that all entries of a person's week that were pending are right. A
// week is approved again when corrections have come to it.
type Approval struct {
	ID     uuid.UUID
	Person uuid.UUID
	Week   domain.Date // its Monday
	// PostedOn is the day on which what the hours cost counts in the books.
	PostedOn domain.Date
	Minutes  int // of the entries that it approves
	Entries  int
	Note     string
	By       uuid.UUID
	At       time.Time
}

const daysPerWeek = 7

// WeekOf returns the Monday of a day's week (ISO 8601).
func WeekOf(d domain.Date) domain.Date {
	sinceMonday := (int(d.In(time.UTC).Weekday()) + daysPerWeek - 1) % daysPerWeek
	return d.AddDays(-sinceMonday)
}

// Approve returns the approval of pending entries, which are all that are pending of the person's
// week. expected is what they come to as far as the approver knows; nil: not said.
func (a Approval) Approve(pending []Entry, expected *int, today domain.Date) (Approval, error) {
	var f domain.Faults
	if a.Week != WeekOf(a.Week) {
		f.Add("#/week", "must be the Monday of the week, such as %s, not %s", WeekOf(a.Week), a.Week)
	} else if a.Week.DaysUntil(today) < 0 {
		f.Add("#/week", "must have begun; today is %s", today)
	}
	if err := f.Err(); err != nil {
		return a, err
	}
	a.Minutes, a.Entries = 0, len(pending)
	for _, e := range pending {
		a.Minutes += e.Minutes
	}
	switch {
	case len(pending) == 0:
		return a, domain.Refuse(domain.Conflict, "nothing of the week of %s is pending", a.Week)
	case expected != nil && *expected != a.Minutes:
		return a, domain.Refuse(domain.Conflict, "%d min are pending in the week of %s, not %d: "+
			"look at the timesheet again", a.Minutes, a.Week, *expected)
	}
	return a, nil
}
