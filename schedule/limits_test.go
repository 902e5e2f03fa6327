package schedule_test

import (
	"context"
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

// The longest tail, the first and last day, and the next ones.
func TestANetworkIsTakenUpToItsLimitsAndNoFurther(t *testing.T) {
	t.Parallel()
	const century = schedule.Minutes(schedule.MaxSpanYears * 366 * 24 * 60)
	in := func(year int) time.Time { return time.Date(year, time.July, 1, 0, 0, 0, 0, time.UTC) }
	for _, row := range []struct {
		name string
		x    schedule.Activity
		ok   bool
	}{
		{"the longest tail", schedule.Activity{Tail: century}, true},
		{"a longer one", schedule.Activity{Tail: century + 1}, false},
		{"less than no tail", schedule.Activity{Tail: -1}, false},
		{"the longest work", schedule.Activity{Work: schedule.Ticks(century / 15)}, true},
		{"longer work", schedule.Activity{Work: schedule.Ticks(century/15) + 1}, false},
		{"the first year", schedule.Activity{Release: in(1)}, true},
		{"the year before", schedule.Activity{Release: in(0)}, false},
		{"the last year", schedule.Activity{Deadline: in(9999)}, true},
		{"the year after", schedule.Activity{Deadline: in(10_000)}, false},
	} {
		row.x.Name = "a"
		if _, err := schedule.NewNetwork([]schedule.Activity{row.x}, nil); (err == nil) != row.ok {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// A group holds activities of the network, each in one group.
func TestAGroupHoldsWhatIsInTheNetworkOnce(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		groups [][]int
		ok     bool
	}{
		{[][]int{{0, 1}}, true},
		{[][]int{{0}, {1}}, true},
		{[][]int{{}}, true},
		{[][]int{{2}}, false},
		{[][]int{{-1}}, false},
		{[][]int{{0, 0}}, false},
		{[][]int{{0}, {0}}, false},
		{[][]int{{3}}, false},
	} {
		p := &schedule.Problem{
			Network: network(t, []schedule.Activity{{Name: "a", Work: 1}, {Name: "b", Work: 1}}),
			Axis:    openAxis(t, 100), DataDate: epoch,
		}
		for _, g := range row.groups {
			p.Groups = append(p.Groups, schedule.Group{Name: "piano", Activities: g})
		}
		_, err := p.Plan(context.Background(), schedule.Options{})
		if (err == nil) != row.ok {
			t.Errorf("groups %v: %v", row.groups, err)
		}
	}
}

// Each session has a tick of work at least.
func TestSessionsHaveATickOfWorkEach(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		work schedule.Ticks
		n    int
		gap  schedule.Minutes
		ok   bool
	}{
		{3, 3, 0, true},
		{2, 3, 0, false},
		{0, 1, 0, true},
		{1000, 1000, 60, true},
		{2000, 1001, 60, false},
		{5, 0, 0, false},
		{5, 2, -1, false},
	} {
		parts, links, err := schedule.Sessions(
			schedule.Activity{Name: "bodying", Work: row.work}, row.n, row.gap,
		)
		if (err == nil) != row.ok || row.ok && (len(parts) != row.n || len(links) != row.n-1) {
			t.Errorf("%+v: %d sessions, %d gaps, %v", row, len(parts), len(links), err)
		}
	}
}
