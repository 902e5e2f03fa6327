package hours

import (
	"strings"

	"bentside/domain"

	"github.com/google/uuid"
)

// Reverse returns the entry that takes back minutes of e, or all that is left of it where minutes
// is 0. day is the person's day as it stands. What takes back belongs to the day, the task and the
// mark of e, so that sums are right for each; it is pending even where e was approved. A fault in
// the minutes is told at the pointer duration.
func (e Entry) Reverse(day Day, minutes int, duration, why string) (Entry, error) {
	if e.Reverses != uuid.Nil {
		return Entry{}, domain.Refuse(domain.Conflict,
			"the entry takes back another, %s, and isn't itself taken back: enter the hours anew",
			e.Reverses)
	}
	left := day.left(e)
	if left == 0 {
		return Entry{}, domain.Refuse(domain.Conflict, "all of the entry has been taken back already")
	}
	var f domain.Faults
	switch {
	case minutes < 0:
		f.Add(duration, "must be more than 0")
	case minutes > left:
		f.Add(duration, "must be at most the %s that are left of the entry, not %s", Spell(left),
			Spell(minutes))
	}
	if strings.TrimSpace(why) == "" {
		f.Add("#/why", "must say why it is taken back")
	}
	if err := f.Err(); err != nil {
		return Entry{}, err
	}
	if minutes == 0 {
		minutes = left
	}
	return Entry{
		Person: e.Person, Job: e.Job, Operation: e.Operation, Duty: e.Duty, On: e.On,
		Minutes: -minutes, Rework: e.Rework, Correction: why, Reverses: e.ID,
	}, nil
}
