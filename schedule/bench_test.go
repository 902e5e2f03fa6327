package schedule_test

import (
	"fmt"
	"testing"
	"time"

	"gonum.org/v1/gonum/graph/simple"
	"gonum.org/v1/gonum/graph/topo"

	"bentside/schedule"
)

// ladder makes count short activities in chains of 50, with cross links, tails and lags of each
// kind: about 2 links an activity.
func ladder(count int) ([]schedule.Activity, []schedule.Link) {
	const length = 50
	activities := make([]schedule.Activity, count)
	links := make([]schedule.Link, 0, 2*count)
	for i := range activities {
		activities[i] = schedule.Activity{
			Name: fmt.Sprint("a", i), Work: schedule.Ticks(1 + i*7%5),
			Tail: schedule.Minutes(i % 3 * 60),
		}
		if i%length == 0 {
			continue
		}
		links = append(links, schedule.Link{From: activities[i-1].Name, To: activities[i].Name})
		if i >= length {
			l := schedule.Link{
				From: activities[i-length-i%7%(i%length)].Name, To: activities[i].Name,
				Kind: schedule.LinkKind(i % 4),
			}
			switch i % 3 {
			case 0:
				l.Lag = schedule.WorkingLag(schedule.Ticks(i%5 - 2))
			case 1:
				l.Lag = schedule.ElapsedLag(schedule.Minutes(i%5-1) * 20)
			}
			links = append(links, l)
		}
	}
	return activities, links
}

func BenchmarkAxis(b *testing.B) {
	berlin := zone(b, "Europe/Berlin")
	from := time.Date(2026, 1, 1, 0, 0, 0, 0, berlin)
	for _, count := range []int{1, 8} {
		b.Run(fmt.Sprintf("years=10/calendars=%d", count), func(b *testing.B) {
			calendars := make([]*schedule.Calendar, count)
			for i := range calendars {
				var leave []schedule.Exception
				for year := 2026; year < 2036; year++ {
					for month := time.January; month <= time.December; month++ {
						leave = append(leave,
							schedule.Exception{
								First: schedule.Date{year, month, 1 + i},
								Last:  schedule.Date{year, month, 3 + i},
							})
					}
				}
				calendars[i] = calendar(b, "c", berlin, workingWeek(), leave...)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := schedule.NewAxis(from, from.AddDate(10, 0, 0),
					calendars...); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkCriticalPath reports how long gonum takes merely to sort the same graph topologically,
// and how many times as long that is.
func BenchmarkCriticalPath(b *testing.B) {
	berlin := zone(b, "Europe/Berlin")
	from := time.Date(2026, 1, 1, 8, 0, 0, 0, berlin)
	for _, size := range []int{1_000, 100_000, 1_000_000} {
		activities, links := ladder(size)
		a, err := schedule.NewAxis(from, from.AddDate(80, 0, 0),
			calendar(b, "shop", berlin, workingWeek()))
		if err != nil {
			b.Fatal(err)
		}
		g := simple.NewDirectedGraph()
		n := network(b, activities, links...)
		for i := range activities {
			g.AddNode(simple.Node(i))
		}
		for _, l := range links {
			f, _ := n.Index(l.From)
			t, _ := n.Index(l.To)
			g.SetEdge(simple.Edge{F: simple.Node(f), T: simple.Node(t)})
		}
		b.Run(fmt.Sprintf("activities=%d", size), func(b *testing.B) {
			r, err := schedule.CriticalPath(n, a, from) // the result that the passes reuse
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := r.Compute(n, a, from, schedule.NoTerminal); err != nil {
					b.Fatal(err)
				}
			}
			ours := b.Elapsed() / time.Duration(b.N)
			sorting := time.Duration(1 << 62)
			for range 3 { // the best of three, to give gonum its due
				began := time.Now()
				if _, err := topo.Sort(g); err != nil {
					b.Fatal(err)
				}
				sorting = min(sorting, time.Since(began))
			}
			b.ReportMetric(float64(sorting.Nanoseconds()), "gonum-sort-ns")
			b.ReportMetric(float64(sorting)/float64(ours), "gonum/ours")
		})
		b.Run(fmt.Sprintf("build/activities=%d", size), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := schedule.NewNetwork(activities, links); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
