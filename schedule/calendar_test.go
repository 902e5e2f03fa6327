package schedule_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"bentside/schedule"
)

func TestCalendarRefusesHoursAndNamesTheDay(t *testing.T) {
	t.Parallel()
	type h = schedule.Shift
	for _, c := range []struct {
		name      string
		tuesday   []h
		exception schedule.Exception
		want      schedule.HoursError
	}{
		{
			"off the quarter hour",
			[]h{{485, 720}},
			schedule.Exception{},
			schedule.HoursError{
				Calendar: "shop", Day: "Tuesday", Hours: h{485, 720},
				Problem: "must start and end on a quarter hour",
			},
		},
		{
			"backward",
			[]h{{720, 480}},
			schedule.Exception{},
			schedule.HoursError{
				Calendar: "shop", Day: "Tuesday", Hours: h{720, 480},
				Problem: "must end after they start",
			},
		},
		{
			"empty",
			[]h{{480, 480}},
			schedule.Exception{},
			schedule.HoursError{
				Calendar: "shop", Day: "Tuesday", Hours: h{480, 480},
				Problem: "must end after they start",
			},
		},
		{
			"past midnight",
			[]h{{1380, 1455}},
			schedule.Exception{},
			schedule.HoursError{
				Calendar: "shop", Day: "Tuesday", Hours: h{1380, 1455}, Problem: "must lie within the day",
			},
		},
		{
			"overlapping, whatever their order",
			[]h{{600, 780}, {480, 615}},
			schedule.Exception{},
			schedule.HoursError{
				Calendar: "shop", Day: "Tuesday", Hours: h{600, 780},
				Problem: "must not overlap 08:00-10:15",
			},
		},
		{
			"on an extra day", nil,
			schedule.Exception{
				Name: "open day", First: schedule.Date{2026, 5, 2}, Last: schedule.Date{2026, 5, 2},
				Hours: []h{{481, 720}},
			},
			schedule.HoursError{
				Calendar: "shop", Day: "2026-05-02 (open day)", Hours: h{481, 720},
				Problem: "must start and end on a quarter hour",
			},
		},
		{
			"a day that doesn't exist", nil,
			schedule.Exception{
				Name: "leap", First: schedule.Date{2026, 2, 29}, Last: schedule.Date{2026, 3, 1},
			},
			schedule.HoursError{
				Calendar: "shop", Day: "2026-02-29 (leap)",
				Problem: "2026-02-29 to 2026-03-01 must be existing days in order",
			},
		},
		{
			"leave that ends before it starts", nil,
			schedule.Exception{
				Name: "leave", First: schedule.Date{2026, 5, 2}, Last: schedule.Date{2026, 5, 1},
			},
			schedule.HoursError{
				Calendar: "shop", Day: "2026-05-02 (leave)",
				Problem: "2026-05-02 to 2026-05-01 must be existing days in order",
			},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			week := workingWeek()
			if c.tuesday != nil {
				week[time.Tuesday] = c.tuesday
			}
			var exceptions []schedule.Exception
			if c.exception.Name != "" {
				exceptions = append(exceptions, c.exception)
			}
			_, err := schedule.NewCalendar("shop", time.UTC, week, exceptions...)
			var got *schedule.HoursError
			if !errors.As(err, &got) || *got != c.want {
				t.Errorf("got  %v\nwant %v", err, &c.want)
			}
		})
	}
}

func TestCalendarWithoutHoursOrZoneIsRefusedByName(t *testing.T) {
	t.Parallel()
	_, err := schedule.NewCalendar("apprentice", nil, schedule.Week{})
	var hours *schedule.NoHoursError
	var zoneless *schedule.ZoneError
	if !errors.As(err, &hours) || hours.Calendar != "apprentice" || !errors.As(err, &zoneless) ||
		zoneless.Calendar != "apprentice" {
		t.Errorf("got %v, want both faults of the apprentice's calendar", err)
	}
	one := schedule.Exception{
		Name: "fair", First: schedule.Date{2026, 5, 2}, Last: schedule.Date{2026, 5, 2},
		Hours: []schedule.Shift{{From: 600, To: 900}},
	}
	if _, err := schedule.NewCalendar("fair", time.UTC, schedule.Week{}, one); err != nil {
		t.Errorf("a calendar of one extra day: %v", err)
	}
}

func TestAxisRefusals(t *testing.T) {
	t.Parallel()
	from := time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
	shop := calendar(t, "shop", time.UTC, workingWeek())
	odd := calendar(t, "odd", time.FixedZone("odd", 7*60), workingWeek())
	var span *schedule.SpanError
	for _, to := range []time.Time{
		from, from.AddDate(0, 0, -1), from.AddDate(101, 0, 0), from.AddDate(10_000_000, 0, 0),
		time.Unix(1<<60, 0),
	} {
		if _, err := schedule.NewAxis(from, to, shop); !errors.As(err, &span) {
			t.Errorf("axis to %v: got %v, want a SpanError", to, err)
		}
	}
	var offset *schedule.ZoneError
	if _, err := schedule.NewAxis(from, from.AddDate(0, 1, 0), shop,
		odd); !errors.As(err, &offset) || *offset != (schedule.ZoneError{"odd", "odd", 420}) {
		t.Errorf("zone 7 minutes off: got %v", err)
	}
	var closed *schedule.NoHoursError
	if _, err := schedule.NewAxis(from.AddDate(0, 0, 5), from.AddDate(0, 0, 7),
		shop); !errors.As(err, &closed) || closed.Calendar != "shop" {
		t.Errorf("axis over a weekend: got %v, want a NoHoursError for the shop", err)
	}
	if _, err := schedule.NewAxis(from, from.AddDate(0, 1, 0)); !errors.As(err, &closed) {
		t.Errorf("axis of no calendar: got %v, want a NoHoursError", err)
	}
	if _, err := schedule.NewAxis(from, from.AddDate(0, 1, 0), nil); !errors.As(err, &offset) {
		t.Errorf("axis of a nil calendar: got %v, want a ZoneError", err)
	}
}

// A night shift from 1 to 4 lasts two hours when the clocks go forward and four when they go back
// (Berlin, 2026-03-29 and 2026-10-25).
func TestClockChangesShortenAndLengthenTheNight(t *testing.T) {
	t.Parallel()
	berlin := zone(t, "Europe/Berlin")
	var week schedule.Week
	week[time.Sunday] = []schedule.Shift{{From: 60, To: 4 * 60}}
	night := calendar(t, "night", berlin, week)
	for _, c := range []struct {
		month       time.Month
		day         int
		ticks       schedule.Ticks
		first, last string
	}{
		{3, 22, 12, "2026-03-22T01:00:00+01:00", "2026-03-22T04:00:00+01:00"},
		{3, 29, 8, "2026-03-29T01:00:00+01:00", "2026-03-29T04:00:00+02:00"},
		{10, 25, 16, "2026-10-25T01:00:00+02:00", "2026-10-25T04:00:00+01:00"},
	} {
		from := time.Date(2026, c.month, c.day, 0, 0, 0, 0, berlin)
		a, err := schedule.NewAxis(from, from.AddDate(0, 0, 1), night)
		if err != nil {
			t.Fatal(err)
		}
		first, _ := a.StartOf(0)
		last, _ := a.EndOf(a.Len() - 1)
		got := fmt.Sprint(a.Len(), a.Time(first).Format(time.RFC3339),
			a.Time(last).Format(time.RFC3339))
		if want := fmt.Sprint(c.ticks, c.first, c.last); got != want {
			t.Errorf("got  %s\nwant %s", got, want)
		}
	}
}

func TestHolidaysExtraDaysAndLeave(t *testing.T) {
	t.Parallel()
	berlin := zone(t, "Europe/Berlin")
	half := []schedule.Shift{{From: 9 * 60, To: 13 * 60}}
	c := calendar(t, "shop", berlin, workingWeek(),
		schedule.Exception{
			Name: "summer closure", First: schedule.Date{2026, 8, 3},
			Last: schedule.Date{2026, 8, 14},
		},
		schedule.Exception{
			Name: "stocktaking", First: schedule.Date{2026, 8, 14},
			Last: schedule.Date{2026, 8, 15}, Hours: half,
		},
	)
	from := time.Date(2026, 8, 1, 0, 0, 0, 0, berlin)
	a, err := schedule.NewAxis(from, from.AddDate(0, 0, 17), c)
	if err != nil {
		t.Fatal(err)
	}
	// Friday the 14th and Saturday the 15th 9 to 13, Monday the 17th whole.
	if got, want := a.Len(), schedule.Ticks(16+16+32); got != want {
		t.Fatalf("%d ticks, want %d", got, want)
	}
	var got []string
	for _, at := range []schedule.Ticks{0, 15, 16, 31, 32} {
		start, _ := a.StartOf(at)
		got = append(got, clock(a, start))
	}
	want := []string{
		"Fri 14 Aug 09:00", "Fri 14 Aug 12:45", "Sat 15 Aug 09:00", "Sat 15 Aug 12:45",
		"Mon 17 Aug 08:00",
	}
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestAnAxisIsTheUnionOfItsCalendars(t *testing.T) {
	t.Parallel()
	berlin := zone(t, "Europe/Berlin")
	var late schedule.Week
	late[time.Monday] = []schedule.Shift{{From: 16 * 60, To: 18 * 60}}
	from := time.Date(2026, 3, 2, 0, 0, 0, 0, berlin)
	a, err := schedule.NewAxis(from, from.AddDate(0, 0, 1),
		calendar(t, "day", berlin, workingWeek()), calendar(t, "late", berlin, late))
	if err != nil {
		t.Fatal(err)
	}
	if end, _ := a.EndOf(a.Len() - 1); a.Len() != 36 || clock(a, end) != "Mon 02 Mar 18:00" {
		t.Errorf("%d ticks up to %s, want 32 of the day and 4 more up to 18:00", a.Len(), clock(a, end))
	}
}
