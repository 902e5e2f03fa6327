package hours_test

import (
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/hours"

	"github.com/google/uuid"
)

// The week of the ISO calendar begins on Monday; 2021-01-03 was a Sunday (ISO 8601).
func TestAWeekBeginsOnItsMonday(t *testing.T) {
	t.Parallel()
	day := domain.Date{Year: 2020, Month: time.December, Day: 21}
	for range 60 {
		got := hours.WeekOf(day)
		year, week := day.In(time.UTC).ISOWeek()
		gotYear, gotWeek := got.In(time.UTC).ISOWeek()
		if got.In(time.UTC).Weekday() != time.Monday || gotYear != year || gotWeek != week {
			t.Errorf("the week of %s begins on %s", day, got)
		}
		day = day.AddDays(1)
	}
}

func TestAWeekIsApprovedAsItWasSeen(t *testing.T) {
	t.Parallel()
	week := hours.WeekOf(today)
	pending := []hours.Entry{work(1, 90), work(2, 30)}
	a, err := hours.Approval{Week: week}.Approve(pending, nil, today)
	if err != nil || a.Minutes != 120 || a.Entries != 2 {
		t.Errorf("got %+v, %v; want two entries of two hours", a, err)
	}
	if _, err := (hours.Approval{Week: week}).Approve(pending, new(120), today); err != nil {
		t.Errorf("as it was seen: %v", err)
	}
	if _, err := (hours.Approval{Week: week}).Approve(
		pending, new(90), today,
	); domaintest.KindOf(err) != domain.Conflict || !strings.Contains(err.Error(), "120 min") {
		t.Errorf("with an entry that came in since: %v", err)
	}
	if _, err := (hours.Approval{Week: week}).Approve(
		nil, nil, today,
	); domaintest.KindOf(err) != domain.Conflict {
		t.Errorf("with nothing pending: %v", err)
	}
	for _, w := range []domain.Date{week.AddDays(1), week.AddDays(7)} {
		if _, err := (hours.Approval{Week: w}).Approve(
			pending, nil, today,
		); !slices.Equal(faultsOf(err), []string{"#/week"}) {
			t.Errorf("the week of %s: %v", w, err)
		}
	}
}

// sheet is a timesheet of a task, a duty, and what was taken back of the first.
func sheet() hours.Timesheet {
	first, duty, back := work(1, 125), work(2, 50), work(3, -25)
	first.Approval, first.Note = uuid.UUID{5}, "=1+1"
	duty.Job, duty.Operation, duty.Duty = uuid.Nil, "", hours.Training
	duty.On, back.Reverses, back.Correction = today.AddDays(1), first.ID, "the tea break"
	return hours.Timesheet{
		Person: domain.Person{ID: uuid.UUID{1}, Name: "@Bo", OffPayroll: true},
		Month:  hours.Month{Year: today.Year, Month: today.Month},
		Rows: []hours.Row{
			{Entry: first, Instrument: "K-7 Aldermere", Task: "String it"},
			{Entry: back, Instrument: "K-7 Aldermere", Task: "String it"},
			{Entry: duty},
		},
	}
}

func TestATimesheetAddsUpByDayAndByWork(t *testing.T) {
	t.Parallel()
	s := sheet()
	if got := s.Total(); got.Approved != 125 || got.Pending != 25 || got.Total() != 150 {
		t.Errorf("in all %+v, want 125 min approved and 25 pending", got)
	}
	var days, work hours.Sum
	for _, d := range s.ByDay() {
		days.Approved, days.Pending = days.Approved+d.Approved, days.Pending+d.Pending
	}
	for _, w := range s.ByWork() {
		work.Approved, work.Pending = work.Approved+w.Approved, work.Pending+w.Pending
	}
	if days != s.Total() || work != s.Total() || len(s.ByDay()) != 2 || len(s.ByWork()) != 2 {
		t.Errorf("by day %+v, by work %+v, in all %+v", s.ByDay(), s.ByWork(), s.Total())
	}
}

// A spreadsheet runs a cell that begins with one of the characters that CWE-1236 names.
func TestATimesheetAsAFileAddsUpAndRunsNothing(t *testing.T) {
	t.Parallel()
	s := sheet()
	file, err := s.CSV()
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(file))).ReadAll()
	if err != nil || len(rows) != len(s.Rows)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	minutes := slices.Index(rows[0], "minutes")
	sum := 0
	for _, row := range rows[1:] {
		n, err := strconv.Atoi(row[minutes])
		if err != nil {
			t.Fatal(err)
		}
		sum += n
		for i, cell := range row {
			if i != minutes && i != minutes+1 && strings.ContainsAny(cell[:min(len(cell), 1)], "=+-@\t\r") {
				t.Errorf("the cell %q is a formula", cell)
			}
		}
		if row[slices.Index(rows[0], "person")] != "'@Bo" ||
			row[slices.Index(rows[0], "on_payroll")] != "false" {
			t.Errorf("the row is %q", row)
		}
	}
	if sum != s.Total().Total() {
		t.Errorf("the file adds up to %d min, the timesheet to %d", sum, s.Total().Total())
	}
	if cell := rows[1][minutes+1]; cell != "2.0833" {
		t.Errorf("125 min are %s h, want 2.0833", cell)
	}
}
