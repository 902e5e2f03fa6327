package schedule_test

import (
	"errors"
	"testing"
	"time"

	"pgregory.net/rapid"

	"bentside/schedule"
)

// zones with a half-hour change, changes at one minute past midnight, an offset of 5:45 and a day
// left out altogether.
var zones = []string{
	"UTC", "Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "America/St_Johns",
	"Asia/Kathmandu", "Pacific/Apia", "Europe/London",
}

type drawnCalendar struct {
	zone       *time.Location
	week       schedule.Week
	exceptions []schedule.Exception
}

func drawHours(t *rapid.T) []schedule.Shift {
	var hours []schedule.Shift
	at := 0
	for range rapid.IntRange(0, 3).Draw(t, "stretches") {
		from := rapid.IntRange(at, 96).Draw(t, "from")
		to := rapid.IntRange(from, 96).Draw(t, "to")
		if to > from {
			hours = append(hours,
				schedule.Shift{From: schedule.Clock(15 * from), To: schedule.Clock(15 * to)})
		}
		at = to
	}
	return hours
}

func drawCalendar(t *rapid.T, tb testing.TB, from time.Time) drawnCalendar {
	d := drawnCalendar{zone: zone(tb, rapid.SampledFrom(zones).Draw(t, "zone"))}
	for day := range d.week {
		d.week[day] = drawHours(t)
	}
	d.week[rapid.IntRange(0, 6).Draw(t, "open day")] = []schedule.Shift{
		{From: 0, To: 24 * 60},
	}
	for range rapid.IntRange(0, 4).Draw(t, "exceptions") {
		first := from.AddDate(0, 0, rapid.IntRange(-2, 20).Draw(t, "first"))
		last := first.AddDate(0, 0, rapid.IntRange(0, 5).Draw(t, "days"))
		d.exceptions = append(d.exceptions, schedule.Exception{
			First: schedule.Date{first.Year(), first.Month(), first.Day()},
			Last:  schedule.Date{last.Year(), last.Month(), last.Day()},
			Hours: drawHours(t),
		})
	}
	return d
}

// works reads the wall clock: the slow, obvious way.
func (d *drawnCalendar) works(at time.Time) bool {
	local := at.In(d.zone)
	day := time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
	hours := d.week[local.Weekday()]
	for _, e := range d.exceptions {
		first := time.Date(e.First.Year, e.First.Month, e.First.Day, 0, 0, 0, 0, time.UTC)
		last := time.Date(e.Last.Year, e.Last.Month, e.Last.Day, 0, 0, 0, 0, time.UTC)
		if !day.Before(first) && !day.After(last) {
			hours = e.Hours
		}
	}
	reading := schedule.Clock(local.Hour()*60 + local.Minute())
	for _, h := range hours {
		if h.From <= reading && reading < h.To {
			return true
		}
	}
	return false
}

// A tick is a quarter hour of which every minute is working time by the wall clock of one of the
// calendars, its clock not changing.
func TestAxisIsWhatTheWallClockSays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		from := time.Unix(60*rapid.Int64Range(1_100_000_000/60, 3_100_000_000/60).Draw(rt, "from"),
			0).UTC()
		if rapid.Bool().Draw(rt, "at a change") {
			name := rapid.SampledFrom(zones).Draw(rt, "changing zone")
			if _, change := from.In(zone(t, name)).ZoneBounds(); !change.IsZero() {
				from = change.Add(-36 * time.Hour).UTC()
			}
		}
		// where time.ZoneBounds ends a day early
		if rapid.Bool().Draw(rt, "at the end of a leap year") {
			from = time.Date(2040+4*rapid.IntRange(0, 5).Draw(rt, "leap"), 12, 29, 0, 0, 0, 0,
				time.UTC)
		}
		to := from.Add(time.Duration(rapid.IntRange(1, 12*24*60).Draw(rt, "minutes")) * time.Minute)
		drawn := make([]drawnCalendar, rapid.IntRange(1, 3).Draw(rt, "calendars"))
		calendars := make([]*schedule.Calendar, len(drawn))
		for i := range drawn {
			drawn[i] = drawCalendar(rt, t, from)
			calendars[i] = calendar(t, "drawn", drawn[i].zone, drawn[i].week,
				drawn[i].exceptions...)
		}
		a, err := schedule.NewAxis(from, to, calendars...)
		var want []time.Time
		quarter := from.Truncate(15 * time.Minute)
		if quarter.Before(from) {
			quarter = quarter.Add(15 * time.Minute)
		}
		for ; !quarter.Add(15 * time.Minute).After(to); quarter = quarter.Add(15 * time.Minute) {
			anyone := false
			for i := range drawn {
				_, before := quarter.In(drawn[i].zone).Zone()
				_, after := quarter.Add(14 * time.Minute).In(drawn[i].zone).Zone()
				working := before == after
				for m := range 15 {
					working = working && drawn[i].works(quarter.Add(time.Duration(m)*time.Minute))
				}
				anyone = anyone || working
			}
			if anyone {
				want = append(want, quarter)
			}
		}
		if len(want) == 0 {
			var closed *schedule.NoHoursError
			if !errors.As(err, &closed) {
				rt.Fatalf("axis without a tick: got %v, want a NoHoursError", err)
			}
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		if int(a.Len()) != len(want) {
			rt.Fatalf("%d ticks, want %d", a.Len(), len(want))
		}
		for at, quarter := range want {
			start, _ := a.StartOf(schedule.Ticks(at))
			if !start.UTC().Equal(quarter) {
				rt.Fatalf("tick %d starts %v, want %v", at, start.UTC(), quarter)
			}
		}
		checkConversions(rt, a)
	})
}

// checkConversions compares both directions with a walk over all ticks, at each minute near them.
func checkConversions(tb rapid.TB, a *schedule.Axis) {
	type bounds struct{ start, end schedule.Instant }
	ticks := make([]bounds, a.Len())
	for at := range a.Len() {
		start, ok := a.StartOf(at)
		end, okEnd := a.EndOf(at)
		if !ok || !okEnd || end != start.Add(schedule.TickMinutes) ||
			at > 0 && start < ticks[at-1].end {
			tb.Fatalf("tick %d is [%d, %d), %v %v", at, start, end, ok, okEnd)
		}
		ticks[at] = bounds{start, end}
	}
	if _, ok := a.StartOf(a.Len()); ok {
		tb.Fatalf("the axis has a tick beyond its length %d", a.Len())
	}
	first, last := schedule.Ticks(0), schedule.Ticks(-1)
	for i := a.From() - 20; i <= a.To()+20; i++ {
		for first < a.Len() && ticks[first].start < i {
			first++
		}
		for last+1 < a.Len() && ticks[last+1].end <= i {
			last++
		}
		if got, ok := a.FirstFrom(i); ok != (first < a.Len()) || ok && got != first {
			tb.Fatalf("first tick from %v = %d, %v; want %d", i.UTC(), got, ok, first)
		}
		if got, ok := a.LastBy(i); ok != (last >= 0) || ok && got != last {
			tb.Fatalf("last tick by %v = %d, %v; want %d", i.UTC(), got, ok, last)
		}
	}
}

func TestConversionsAreTotal(t *testing.T) {
	t.Parallel()
	a := shop(t)
	for _, i := range []schedule.Instant{-1 << 63, -1 << 62, 0, 1 << 62, 1<<63 - 1} {
		first, okFirst := a.FirstFrom(i)
		last, okLast := a.LastBy(i)
		if before := i < a.From(); okFirst != before || okLast == before || before && first != 0 ||
			!before && last != a.Len()-1 {
			t.Errorf("instant %d: first %d %v, last %d %v", i, first, okFirst, last, okLast)
		}
	}
	for _, at := range []schedule.Ticks{-1 << 63, -1, a.Len(), 1<<63 - 1} {
		if _, ok := a.StartOf(at); ok {
			t.Errorf("tick %d has a start", at)
		}
		if _, ok := a.EndOf(at); ok {
			t.Errorf("tick %d has an end", at)
		}
	}
}

func TestInstantsRoundOutward(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		seconds, nanos int64
		before, after  schedule.Instant
	}{
		{0, 0, 0, 0},
		{0, 1, 0, 1},
		{59, 0, 0, 1},
		{60, 0, 1, 1},
		{-1, 0, -1, 0},
		{-60, 0, -1, -1},
		{-61, 0, -2, -1},
		{-60, 1, -1, 0},
	} {
		at := time.Unix(c.seconds, c.nanos)
		before, after := schedule.InstantBefore(at), schedule.InstantAfter(at)
		if before != c.before || after != c.after {
			t.Errorf("%v: before %d, after %d; want %d, %d", at.UTC(), before, after, c.before,
				c.after)
		}
	}
}

// FuzzAxis builds calendars and axes from raw numbers: whatever is accepted converts both ways, and
// nothing panics or grows without bound.
func FuzzAxis(f *testing.F) {
	year := int64(365 * 24 * 60 * 60)
	f.Add(int64(1_772_000_000), int64(1_773_000_000), uint8(1), 480, 1020, 2026, 3, 3, 2026, 3, 4,
		540, 600)
	f.Add(int64(0), 10_000_000*year, uint8(2), 480, 720, -5_000_000, 1, 1, 5_000_000, 1, 1, 0, 1440)
	f.Add(int64(-1<<62), int64(1<<62), uint8(3), 0, 1440, 1, 1, 1, 9999, 12, 31, 0, 1440)
	f.Add(int64(1_774_700_000), int64(1_774_900_000), uint8(3), -15, 1<<40, 2026, 13, 32, 0, 0, 0,
		7, 8)
	f.Add(-100*year, -90*year, uint8(4), 480, 720, 1900, 1, 1, 1900, 1, 1, 0, 15)
	f.Add(int64(1_774_700_000), int64(1_774_700_000)+100*year, uint8(6), 480, 720, 2011, 12, 30,
		2011, 12, 30, 0, 15)
	f.Fuzz(func(
		t *testing.T, from, to int64, place uint8,
		open, shut, y1, m1, d1, y2, m2, d2, open2, shut2 int,
	) {
		var week schedule.Week
		for day := range week {
			week[day] = []schedule.Shift{{From: schedule.Clock(open), To: schedule.Clock(shut)}}
		}
		c, err := schedule.NewCalendar("fuzzed", zone(t, zones[int(place)%len(zones)]), week,
			schedule.Exception{
				First: schedule.Date{Year: y1, Month: time.Month(m1), Day: d1},
				Last:  schedule.Date{Year: y2, Month: time.Month(m2), Day: d2},
				Hours: []schedule.Shift{{From: schedule.Clock(open2), To: schedule.Clock(shut2)}},
			})
		if err != nil {
			return
		}
		a, err := schedule.NewAxis(time.Unix(from, 0), time.Unix(to, 0), c)
		if err != nil {
			return
		}
		for at := schedule.Ticks(0); at < a.Len(); at += 1 + a.Len()/64 {
			start, _ := a.StartOf(at)
			end, _ := a.EndOf(at)
			first, okFirst := a.FirstFrom(start)
			last, okLast := a.LastBy(end)
			if !okFirst || !okLast || first != at || last != at {
				t.Fatalf("tick %d: back from its start %d, from its end %d", at, first, last)
			}
		}
	})
}
