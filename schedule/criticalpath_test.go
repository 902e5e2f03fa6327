package schedule_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"bentside/schedule"
)

func TestTailsRunThroughNightsAndWeekends(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "glue ribs", Work: 8, Tail: 2 * schedule.Day},
		{Name: "plane ribs", Work: 4},
		{Name: "varnish", Work: 30},
		{Name: "varnish hard"},
		{Name: "rub down", Work: 2},
	}, []schedule.Link{
		{From: "glue ribs", To: "plane ribs"},
		{From: "plane ribs", To: "varnish"},
		{From: "varnish", To: "varnish hard", Lag: schedule.ElapsedLag(3 * schedule.Day)},
		{From: "varnish hard", To: "rub down"},
	}...)
	r := criticalPath(t, n, a, on(t, 3, 6, 9, 7)) // a Friday, between quarters
	var got []string
	for i, at := range r.Activities {
		got = append(got, fmt.Sprintf("%s: %s to %s, tail %s, float %d", n.Activity(i).Name,
			clock(a, at.Early.Start), clock(a, at.Early.Finish), clock(a, at.Early.TailEnd),
			at.TotalFloat))
	}
	want := []string{
		// to 17:00, and the glue is hard by Monday
		"glue ribs: Fri 06 Mar 09:15 to Fri 06 Mar 11:15, tail Sun 08 Mar 11:15, float 19",
		"plane ribs: Mon 09 Mar 08:00 to Mon 09 Mar 09:00, tail Mon 09 Mar 09:00, float 0",
		"varnish: Mon 09 Mar 09:00 to Tue 10 Mar 08:30, tail Tue 10 Mar 08:30, float 0",
		"varnish hard: Fri 13 Mar 08:30 to Fri 13 Mar 08:30, tail Fri 13 Mar 08:30, float 0",
		"rub down: Fri 13 Mar 08:30 to Fri 13 Mar 09:00, tail Fri 13 Mar 09:00, float 0",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	const path = "[glue ribs plane ribs varnish varnish hard rub down]"
	if got := fmt.Sprint(names(n, r.Path)); got != path {
		t.Errorf("path = %s, want %s", got, path)
	}
	if why := r.Activities[1].Driver; why.Kind != schedule.DriverLink || why.Activity != 0 ||
		clock(a, why.Ready) != "Sun 08 Mar 11:15" {
		t.Errorf("plane ribs waits because of %+v, want the glue until Sunday 11:15", why)
	}
}

// One pair A -> B, A being 2 h of work from Friday 8:00 with a tail of 24 h, B 1 h of work: the
// meaning of every link, end and lag.
func TestLinkMeaning(t *testing.T) {
	t.Parallel()
	a := shop(t)
	elapsed, working := schedule.ElapsedLag, schedule.WorkingLag
	const h = schedule.Hour
	for _, c := range []struct {
		name string
		link schedule.Link
		want string // start of B
	}{
		{"no lag waits for the tail", schedule.Link{}, "Mon 09 Mar 08:00"},
		{"a lag replaces the tail", schedule.Link{Lag: elapsed(2 * h)}, "Fri 06 Mar 13:00"},
		{"hands off: a lag of zero too", schedule.Link{Lag: elapsed(0)}, "Fri 06 Mar 10:00"},
		{"a working lag skips lunch", schedule.Link{Lag: working(10)}, "Fri 06 Mar 13:30"},
		{
			"a working lag that ends with the day",
			schedule.Link{Lag: working(24)},
			"Mon 09 Mar 08:00",
		},
		{"an elapsed lead", schedule.Link{Lag: elapsed(-90)}, "Fri 06 Mar 08:30"},
		{"a working lead", schedule.Link{Lag: working(-3)}, "Fri 06 Mar 09:15"},
		{"a lead before the data date", schedule.Link{Lag: working(-30)}, "Fri 06 Mar 08:00"},
		{"start to start", schedule.Link{Kind: schedule.StartToStart}, "Fri 06 Mar 08:00"},
		{
			"start to start, elapsed",
			schedule.Link{Kind: schedule.StartToStart, Lag: elapsed(30 * h)},
			"Mon 09 Mar 08:00",
		},
		// see below
		{
			"finish to finish waits for the tail",
			schedule.Link{Kind: schedule.FinishToFinish},
			"Fri 06 Mar 16:15+",
		},
		{
			"finish to finish, hands off",
			schedule.Link{Kind: schedule.FinishToFinish, Lag: working(0)},
			"Fri 06 Mar 09:00",
		},
		{
			"finish to finish, working",
			schedule.Link{Kind: schedule.FinishToFinish, Lag: working(2)},
			"Fri 06 Mar 09:30",
		},
		{
			"start to finish",
			schedule.Link{Kind: schedule.StartToFinish, Lag: working(6)},
			"Fri 06 Mar 08:30",
		},
		{"lag between quarters rounds up", schedule.Link{Lag: elapsed(1)}, "Fri 06 Mar 10:15"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			l := c.link
			l.From, l.To = "A", "B"
			n := network(t,
				[]schedule.Activity{
					{Name: "A", Work: 8, Tail: schedule.Day},
					{Name: "B", Work: 4, Tail: 90 * h / 4},
				},
				l)
			r := criticalPath(t, n, a, on(t, 3, 6, 8, 0))
			got, want := clock(a, r.Activities[1].Early.Start), c.want
			if strings.HasSuffix(want, "+") {
				// The tail ends on Saturday 10:00. Work that must finish no earlier takes its last
				// quarter on Monday: from Friday 16:15 to Monday 8:15.
				want = strings.TrimSuffix(want, "+")
				if finish := clock(a, r.Activities[1].Early.Finish); finish != "Mon 09 Mar 08:15" {
					t.Errorf("finish %s, want Mon 09 Mar 08:15", finish)
				}
			}
			if got != want {
				t.Errorf("B starts %s, want %s", got, want)
			}
		})
	}
}

func TestSecondCoatWithinADayHoldsTheFirstBack(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "first coat", Work: 4, Tail: 4 * schedule.Hour},
		{Name: "booth free", Release: on(t, 3, 5, 10, 0)},
		{Name: "second coat", Work: 4},
	}, []schedule.Link{
		{From: "first coat", To: "second coat"},
		{
			From: "first coat", To: "second coat", Lag: schedule.ElapsedLag(schedule.Day),
			AtMost: true,
		},
		{From: "booth free", To: "second coat"},
	}...)
	r := criticalPath(t, n, a, on(t, 3, 2, 8, 0))
	first, second := r.Activities[0], r.Activities[2]
	// Ending at 10:00 on Wednesday or later leaves a day to Thursday 10:00.
	if got, want := clock(a, first.Early.Start)+", "+clock(a,
		second.Early.Start), "Wed 04 Mar 09:00, Thu 05 Mar 10:00"; got != want {
		t.Errorf("coats start %s, want %s", got, want)
	}
	if first.Driver.Kind != schedule.DriverLink || first.Driver.Activity != 2 ||
		first.Driver.Link != 1 {
		t.Errorf("the first coat is held by %+v, want the second coat's maximum lag", first.Driver)
	}
	if got, want := fmt.Sprint(names(n, r.Path)), "[booth free second coat]"; got != want {
		t.Errorf("path = %s, want %s", got, want)
	}
	if got, want := clock(a, first.Late.Finish), "Wed 04 Mar 17:00"; got != want {
		t.Errorf("first coat ends %s at the latest, want %s", got, want)
	}
}

// A recoat 9 to 10 hours after the coat: no working day is as long, and no night as short. No
// constant distance shows it; the search does.
func TestMaximumLagThatNoDayFitsIsAnErrorThatNamesTheCircle(t *testing.T) {
	t.Parallel()
	n := network(t, []schedule.Activity{{Name: "coat", Work: 4}, {Name: "recoat", Work: 4}},
		[]schedule.Link{
			{From: "coat", To: "recoat", Lag: schedule.ElapsedLag(9 * schedule.Hour)},
			{
				From: "coat", To: "recoat", Lag: schedule.ElapsedLag(10 * schedule.Hour),
				AtMost: true,
			},
		}...)
	_, err := schedule.CriticalPath(n, shop(t), on(t, 3, 2, 8, 0))
	var horizon *schedule.HorizonError
	if !errors.As(err, &horizon) || fmt.Sprint(horizon.Tied) != "[coat recoat]" {
		t.Errorf("got %v, want a HorizonError that ties coat and recoat", err)
	}
}

func TestDeadlinesAndFixedStartsShowAsNegativeFloat(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "under way", Work: 16, FixedStart: on(t, 3, 2, 14, 0)},
		{Name: "next", Work: 8, Deadline: on(t, 3, 3, 10, 0)},
		{Name: "late part", Work: 32},
		{Name: "fixed fitting", Work: 4, FixedStart: on(t, 3, 3, 8, 0)},
		{Name: "end", Work: 4},
	}, []schedule.Link{
		{From: "under way", To: "next"},
		{From: "late part", To: "fixed fitting"},
		{From: "fixed fitting", To: "end"},
	}...)
	r := criticalPath(t, n, a, on(t, 3, 3, 8, 0))
	var got []string
	for i, at := range r.Activities {
		got = append(got,
			fmt.Sprintf("%s %s %v %d", n.Activity(i).Name, clock(a, at.Early.Start), at.Driver.Kind,
				at.TotalFloat))
	}
	want := []string{
		"under way Mon 02 Mar 14:00 fixed start 0",
		"next Tue 03 Mar 09:00 link -4",            // must end at 10:00, ends at 11:00
		"late part Tue 03 Mar 08:00 data date -32", // a day too late for the fitting
		"fixed fitting Tue 03 Mar 08:00 fixed start 0",
		"end Tue 03 Mar 09:00 link 24",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestTerminalSetsTheFinish(t *testing.T) {
	t.Parallel()
	a := openAxis(t, 1000)
	n := network(t,
		[]schedule.Activity{
			{Name: "A", Work: 5},
			{Name: "B", Work: 3},
			{Name: "QC", Work: 1},
			{Name: "deliver", Work: 9},
			{Name: "aside", Work: 2},
		},
		after("QC:A B", "deliver:QC")...)
	for _, c := range []struct {
		terminal int
		want     string
	}{
		{schedule.NoTerminal, "finish 15, path [A QC deliver], floats 0 2 0 0 13"},
		{2, "finish 6, path [A QC], floats 0 2 0 0 13"},
		{1, "finish 3, path [B], floats 0 0 0 0 13"},
	} {
		r, err := schedule.CriticalPathTo(n, a, epoch, c.terminal)
		if err != nil {
			t.Fatal(err)
		}
		floats := ""
		for _, at := range r.Activities {
			floats += fmt.Sprint(" ", at.TotalFloat)
		}
		if got := fmt.Sprintf("finish %d, path %v, floats%s", r.Finish/15, names(n, r.Path),
			floats); got != c.want {
			t.Errorf("terminal %d:\n got %s\nwant %s", c.terminal, got, c.want)
		}
	}
	for _, terminal := range []int{-2, 5} {
		var value *schedule.ValueError
		if _, err := schedule.CriticalPathTo(n, a, epoch, terminal); !errors.As(err, &value) {
			t.Errorf("terminal %d: got %v, want a ValueError", terminal, err)
		}
	}
}

func TestWhatFallsOffTheAxisIsNamed(t *testing.T) {
	t.Parallel()
	a := shop(t)
	start, end := a.From().UTC(), a.To().UTC()
	one := func(activity schedule.Activity) *schedule.Network {
		activity.Name = "A"
		return network(t, []schedule.Activity{activity})
	}
	for _, c := range []struct {
		name     string
		network  *schedule.Network
		dataDate time.Time
		want     string
	}{
		{"data date before", one(schedule.Activity{}), start.Add(-time.Minute), "data date"},
		{"data date after", one(schedule.Activity{}), end, "data date"},
		{"work too long", one(schedule.Activity{Work: a.Len() + 1}), start, "A"},
		{"work that just fits", one(schedule.Activity{Work: a.Len()}), start, ""},
		{
			"tail past the end", one(schedule.Activity{Work: 4, Tail: 7 * 14 * schedule.Day}),
			start, "A",
		},
		{
			"milestone past the end", one(schedule.Activity{Release: end.Add(time.Minute)}), start,
			"A",
		},
		{"milestone at the end", one(schedule.Activity{Release: end}), start, ""},
		{
			"fixed start before",
			one(schedule.Activity{Work: 4, FixedStart: start.Add(-time.Hour)}), start, "A",
		},
	} {
		_, err := schedule.CriticalPath(c.network, a, c.dataDate)
		got := ""
		var horizon *schedule.HorizonError
		if errors.As(err, &horizon) {
			got = horizon.Name
		} else if err != nil {
			got = err.Error()
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func TestAnEmptyNetworkEndsOnTheDataDate(t *testing.T) {
	t.Parallel()
	a := shop(t)
	r := criticalPath(t, network(t, nil), a, on(t, 3, 7, 12, 0)) // a Saturday
	if got := clock(a, r.Finish); got != "Mon 09 Mar 08:00" || r.DataDate != r.Finish ||
		len(r.Path) != 0 {
		t.Errorf("finish %s, path %v", got, r.Path)
	}
}

func TestComputeReusesItsMemory(t *testing.T) {
	a := shop(t)
	activities, links := ladder(500)
	n := network(t, activities, links...)
	r := &schedule.Analysis{}
	dataDate := on(t, 3, 2, 8, 0)
	if allocations := testing.AllocsPerRun(10, func() {
		if err := r.Compute(n, a, dataDate, schedule.NoTerminal); err != nil {
			t.Fatal(err)
		}
	}); allocations != 0 {
		t.Errorf("%v allocations in each pass, want none", allocations)
	}
	fresh := criticalPath(t, n, a, dataDate)
	small := network(t, activities[:3])
	if err := r.Compute(small, a, dataDate, schedule.NoTerminal); err != nil ||
		len(r.Activities) != 3 {
		t.Fatalf("smaller network: %v", err)
	}
	if err := r.Compute(n, a, dataDate, schedule.NoTerminal); err != nil ||
		fmt.Sprint(r.Activities, r.Path) != fmt.Sprint(fresh.Activities, fresh.Path) {
		t.Errorf("a reused result differs from a fresh one (%v)", err)
	}
}

func TestFloatOfWorkThatMayNotBeInterrupted(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "pour", Work: 4},
		{Name: "inspect", Work: 4, Release: on(t, 3, 2, 13, 30)},
		{Name: "elsewhere", Work: 31},
	}, []schedule.Link{
		{From: "pour", To: "inspect"},
		{
			From: "pour", To: "pour", Kind: schedule.StartToFinish,
			Lag: schedule.ElapsedLag(schedule.Hour), AtMost: true,
		},
	}...)
	r := criticalPath(t, n, a, on(t, 3, 2, 8, 0))
	// To leave the inspection at 13:30 alone it could end then, but for the lunch in the middle; in
	// one piece it ends at noon.
	if got := r.Activities[0]; clock(a, got.Late.Finish) != "Mon 02 Mar 15:45" ||
		got.TotalFloat != 23 || got.FreeFloat != 12 {
		t.Errorf("late finish %s, floats %d and %d; want 15:45, 23 and 12",
			clock(a, got.Late.Finish), got.TotalFloat, got.FreeFloat)
	}
	late := network(t, []schedule.Activity{n.Activity(0)}, n.Link(1))
	if got := clock(a,
		criticalPath(t, late, a,
			on(t, 3, 2, 11, 15)).Activities[0].Early.Start); got != "Mon 02 Mar 13:00" {
		t.Errorf("from 11:15 on it starts %s, want after lunch", got)
	}
}

func TestMilestonesNeedNoWorkingTime(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t, []schedule.Activity{
		{Name: "delivery", Release: on(t, 3, 7, 8, 5)},
		{Name: "unpacked", Release: on(t, 3, 7, 8, 10)},
		{Name: "fit", Work: 4},
		{Name: "fitted"},
	},
		[]schedule.Link{
			{From: "delivery", To: "unpacked"},
			{From: "unpacked", To: "fit"},
			{From: "fit", To: "fitted"},
		}...)
	r := criticalPath(t, n, a, on(t, 3, 2, 8, 0))
	var got []string
	for _, at := range r.Activities {
		got = append(got,
			fmt.Sprintf("%s to %s, %d %d", clock(a, at.Early.Finish), clock(a, at.Late.Finish),
				at.TotalFloat, at.FreeFloat))
	}
	want := []string{
		"Sat 07 Mar 08:05 to Mon 09 Mar 08:00, 0 0", // two days of slip, no working tick among them
		"Sat 07 Mar 08:10 to Mon 09 Mar 08:00, 0 0",
		"Mon 09 Mar 09:00 to Mon 09 Mar 09:00, 0 0",
		"Mon 09 Mar 09:00 to Mon 09 Mar 09:00, 0 0",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	if got, want := fmt.Sprint(names(n, r.Path)), "[unpacked fit fitted]"; got != want {
		t.Errorf("path = %s, want %s", got, want)
	}
	// Within one tick: no whole tick of slip, though five minutes.
	within := network(t,
		[]schedule.Activity{
			{Name: "A", Release: on(t, 3, 2, 8, 5)}, {Name: "B", Release: on(t, 3, 2, 8, 10)},
		},
		schedule.Link{From: "A", To: "B"})
	if got := criticalPath(t, within, a, on(t, 3, 2, 8, 0)).Activities[0]; got.TotalFloat != 0 ||
		got.FreeFloat != 0 || got.Late.Start != got.Early.Start+5 {
		t.Errorf("floats %d and %d, late %d minutes after early; want 0, 0 and 5", got.TotalFloat,
			got.FreeFloat, got.Late.Start-got.Early.Start)
	}
}

func TestAFixedStartThatBreaksAMaximumLagIsShownNotRefused(t *testing.T) {
	t.Parallel()
	a := shop(t)
	n := network(t,
		[]schedule.Activity{
			{Name: "coat", Work: 8, FixedStart: on(t, 3, 2, 8, 0)}, {Name: "recoat", Work: 4},
		}, []schedule.Link{
			{From: "coat", To: "recoat"},
			{
				From: "coat", To: "recoat", Kind: schedule.StartToStart,
				Lag:    schedule.WorkingLag(4),
				AtMost: true,
			},
		}...)
	if got := criticalPath(t, n, a, on(t, 3, 2, 8, 0)).Activities[1]; got.TotalFloat != -4 ||
		clock(a, got.Early.Start) != "Mon 02 Mar 10:00" {
		t.Errorf("recoat starts %s with a float of %d, want 10:00 and an hour too late",
			clock(a, got.Early.Start), got.TotalFloat)
	}
}

// Each activity must leave its distance to a start fixed on Monday at nine, an hour after the shop
// opens.
func TestLateDatesThroughLags(t *testing.T) {
	t.Parallel()
	a := shop(t)
	for _, c := range []struct {
		name string
		link schedule.Link
		want string // late start and finish of an hour's work before it
	}{
		{
			"working, start to start",
			schedule.Link{Kind: schedule.StartToStart, Lag: schedule.WorkingLag(4)},
			"Mon 09 Mar 08:00, Mon 09 Mar 09:00",
		},
		{
			"working, a tick more",
			schedule.Link{Kind: schedule.StartToStart, Lag: schedule.WorkingLag(5)},
			"Fri 06 Mar 16:45, Mon 09 Mar 08:45",
		},
		{
			"working, finish to start",
			schedule.Link{Lag: schedule.WorkingLag(4)},
			"Fri 06 Mar 16:00, Fri 06 Mar 17:00",
		},
		{
			"elapsed, to Sunday",
			schedule.Link{Lag: schedule.ElapsedLag(schedule.Day)},
			"Fri 06 Mar 16:00, Fri 06 Mar 17:00",
		},
		{
			"elapsed, start to start to Sunday",
			schedule.Link{Kind: schedule.StartToStart, Lag: schedule.ElapsedLag(schedule.Day)},
			"Fri 06 Mar 16:45, Mon 09 Mar 08:45",
		},
		{
			"a lead",
			schedule.Link{Lag: schedule.WorkingLag(-2)},
			"Mon 09 Mar 08:30, Mon 09 Mar 09:30",
		},
		{"the tail", schedule.Link{}, "Fri 06 Mar 15:00, Fri 06 Mar 16:00"},
	} {
		n := network(t, []schedule.Activity{
			{Name: "A", Work: 4, Tail: 65 * schedule.Hour},
			{Name: "B", Work: 320, FixedStart: on(t, 3, 9, 9, 0)},
		}, schedule.Link{From: "A", To: "B", Kind: c.link.Kind, Lag: c.link.Lag})
		late := criticalPath(t, n, a, on(t, 3, 2, 8, 0)).Activities[0].Late
		if got := clock(a, late.Start) + ", " + clock(a, late.Finish); got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
	}
}
