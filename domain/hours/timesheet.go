package hours

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Month is a month of a year.
type Month struct {
	Year  int
	Month time.Month
}

// ParseMonth reads a month such as 2026-11.
func ParseMonth(s string) (Month, error) {
	t, err := time.Parse("2006-01", s)
	if err != nil {
		return Month{}, fmt.Errorf("month %q must be written like 2026-11", s)
	}
	return Month{t.Year(), t.Month()}, nil
}

// First returns the first day.
func (m Month) First() domain.Date { return domain.Date{Year: m.Year, Month: m.Month, Day: 1} }

// Last returns the last day.
func (m Month) Last() domain.Date {
	return domain.DateOf(m.First().In(time.UTC).AddDate(0, 1, -1))
}

// String returns the month as 2026-11.
func (m Month) String() string { return fmt.Sprintf("%04d-%02d", m.Year, int(m.Month)) }

// Timesheet is what a person worked in a month.
type Timesheet struct {
	Person domain.Person
	Month  Month
	Rows   []Row // by day, then as they were recorded
	// Approvals are those of the weeks that the month has days of, oldest first.
	Approvals []Approval
}

// Row is an entry with the names of what it is about.
type Row struct {
	Entry
	Instrument string // of the job; empty: a standing duty
	Task       string // the name of its operation; empty: not known, or a standing duty
}

// Sum is what some entries add up to, in minutes. Total is Pending and Approved.
type Sum struct {
	Pending, Approved int
}

// Total returns the minutes of both.
func (s Sum) Total() int { return s.Pending + s.Approved }

func (s *Sum) add(e Entry) {
	if e.Approval == uuid.Nil {
		s.Pending += e.Minutes
		return
	}
	s.Approved += e.Minutes
}

// DaySum is what the entries of a day add up to.
type DaySum struct {
	Day domain.Date
	Sum
}

// WorkSum is what the entries of one task, or of one standing duty, add up to.
type WorkSum struct {
	Job              uuid.UUID
	Operation        catalogue.Code
	Duty             Duty
	Instrument, Task string
	Sum
}

// Total returns what all entries add up to.
func (t Timesheet) Total() Sum {
	var s Sum
	for _, r := range t.Rows {
		s.add(r.Entry)
	}
	return s
}

// ByDay returns the sum of each day that has entries, in order.
func (t Timesheet) ByDay() []DaySum {
	var list []DaySum
	for _, r := range t.Rows {
		if n := len(list); n == 0 || list[n-1].Day != r.On {
			list = append(list, DaySum{Day: r.On})
		}
		list[len(list)-1].add(r.Entry)
	}
	return list
}

// ByWork returns the sum of each task by instrument and operation, then of each standing duty.
func (t Timesheet) ByWork() []WorkSum {
	var list []WorkSum
	for _, r := range t.Rows {
		i := slices.IndexFunc(list, func(w WorkSum) bool {
			return w.Job == r.Job && w.Operation == r.Operation && w.Duty == r.Duty
		})
		if i < 0 {
			i = len(list)
			list = append(list, WorkSum{
				Job: r.Job, Operation: r.Operation, Duty: r.Duty, Instrument: r.Instrument, Task: r.Task,
			})
		}
		list[i].add(r.Entry)
	}
	slices.SortFunc(list, func(a, b WorkSum) int {
		return cmp.Or(
			cmp.Compare(a.Duty, b.Duty), cmp.Compare(a.Instrument, b.Instrument),
			cmp.Compare(a.Job.String(), b.Job.String()), cmp.Compare(a.Operation, b.Operation),
		)
	})
	return list
}
