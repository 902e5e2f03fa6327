package schedule_test

import (
	"strings"
	"testing"
	"time"

	"bentside/schedule"
)

// Lags say which of the two kinds they are.
func TestALagIsCountedInWorkOrByTheClock(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		lag              schedule.Lag
		ticks            schedule.Ticks
		minutes          schedule.Minutes
		working, elapsed bool
	}{
		{schedule.Lag{}, 0, 0, false, false},
		{schedule.WorkingLag(-3), -3, 0, true, false},
		{schedule.ElapsedLag(90), 0, 90, false, true},
		{schedule.ElapsedLag(0), 0, 0, false, true},
	} {
		ticks, working := row.lag.Working()
		minutes, elapsed := row.lag.Elapsed()
		if ticks != row.ticks || working != row.working || minutes != row.minutes ||
			elapsed != row.elapsed {
			t.Errorf("%+v: %d ticks %v, %d minutes %v", row, ticks, working, minutes, elapsed)
		}
	}
}

// A holiday lies between the first and the last day that calendars know.
func TestHolidaysLieWithinTheYearsOneTo9999(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		date schedule.Date
		ok   bool
	}{
		{schedule.Date{Year: 1, Month: time.January, Day: 1}, true},
		{schedule.Date{Year: 0, Month: time.December, Day: 31}, false},
		{schedule.Date{Year: 9999, Month: time.December, Day: 31}, true},
		{schedule.Date{Year: 10_000, Month: time.January, Day: 1}, false},
		{schedule.Date{Year: 2028, Month: time.February, Day: 29}, true},
		{schedule.Date{Year: 2027, Month: time.February, Day: 29}, false},
	} {
		_, err := schedule.NewCalendar("shop", time.UTC, workingWeek(),
			[]schedule.Exception{{First: row.date, Last: row.date}}...)
		if (err == nil) != row.ok {
			t.Errorf("%v: %v", row.date, err)
		}
	}
}

// A span that no axis can have is told with both ends.
func TestASpanThatRunsBackwardsIsToldWithItsEnds(t *testing.T) {
	t.Parallel()
	from := time.Date(2026, time.May, 4, 8, 0, 0, 0, time.UTC)
	_, err := schedule.NewAxis(from, from.AddDate(0, 0, -1),
		calendar(t, "shop", time.UTC, workingWeek()))
	if err == nil || !strings.Contains(err.Error(), "2026-05-04") ||
		!strings.Contains(err.Error(), "2026-05-03") {
		t.Errorf("%v", err)
	}
}
