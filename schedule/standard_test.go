package schedule_test

import (
	"context"
	"fmt"
	"strconv"
	"testing"

	"bentside/schedule"
	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
	"bentside/schedule/verify"
)

// openShop states a published problem as that of a shop that never closes: one tick is one unit of
// time.
func openShop(tb testing.TB, x *rcpsp.Problem) *schedule.Problem {
	tb.Helper()
	p := &schedule.Problem{Axis: openAxis(tb, 2000), DataDate: epoch}
	for _, c := range x.Capacities {
		p.Stations = append(p.Stations, schedule.Station{Name: "resource", Capacity: c[0].Units})
	}
	activities := make([]schedule.Activity, len(x.Activities))
	for i, y := range x.Activities {
		activities[i] = schedule.Activity{Name: strconv.Itoa(i), Work: schedule.Ticks(y.Duration)}
		for s, q := range y.Demand {
			if q > 0 && y.Duration > 0 {
				activities[i].Needs = append(activities[i].Needs,
					schedule.Need{Station: s, Quantity: q})
			}
		}
	}
	links := make([]schedule.Link, len(x.Links))
	for k, l := range x.Links {
		links[k] = schedule.Link{
			From: strconv.Itoa(l.From), To: strconv.Itoa(l.To), Kind: schedule.StartToStart,
			Lag: schedule.WorkingLag(schedule.Ticks(l.Lag)),
		}
	}
	p.Network = network(tb, activities, links...)
	return p
}

// makespan plans a published problem with the planner of shops and returns the end of the plan,
// which it checks against what is known.
func makespan(tb testing.TB, in *published.Instance, schedules int) int {
	tb.Helper()
	p := openShop(tb, in.Problem)
	plan, err := p.Plan(context.Background(),
		schedule.Options{Schedules: schedules, Seed: 1, Workers: 2})
	if err != nil {
		tb.Fatal(err)
	}
	if found := verify.Plan(p, plan); len(found) > 0 {
		tb.Errorf("%s: %v", in.Name, found)
	}
	end := int(plan.Finish / schedule.Instant(schedule.TickMinutes))
	if end < in.Bound || plan.LowerBound > int64(in.Best)*int64(schedule.TickMinutes) {
		tb.Errorf("%s ends at %d, at the earliest at %d minutes; known are %d to %d", in.Name, end,
			plan.LowerBound, in.Bound, in.Best)
	}
	return end
}

// The planner of shops is held against optimal makespans too: never below the optimum, its bound
// never above, and near it on the mean. Package rcpsp is the engine that goes for the best
// published.
func TestOptimaOfThePublishedInstancesAreNearlyMet(t *testing.T) {
	t.Parallel()
	for _, set := range published.Sets(t, "j30", 16) {
		t.Run(set.Name, func(t *testing.T) {
			t.Parallel()
			over := 0.0
			for _, in := range set.Instances {
				over += 100 * float64(makespan(t, &in, 1000)-in.Best) / float64(in.Best)
			}
			if over /= float64(len(set.Instances)); over > 0.8 {
				t.Errorf("%.2f %% over the optimum on the mean, want at most 0.8 %%", over)
			}
		})
	}
}

// BenchmarkPublished reports how far the planner of shops ends over the optimum (j30) and over the
// critical path, on the mean of the instances carried with the module and of the whole sets where
// they lie beside it; one run of each says it all (-benchtime 1x).
func BenchmarkPublished(b *testing.B) {
	for _, name := range []string{"j30", "j60", "j120"} {
		for _, set := range published.Sets(b, name, 1) {
			for _, schedules := range []int{1000, 5000} {
				kind := fmt.Sprintf("set=%s/%s=%d/schedules=%d", name, set.Name,
					len(set.Instances), schedules)
				b.Run(kind, func(b *testing.B) {
					var best, path float64
					for b.Loop() {
						best, path = 0, 0
						for _, in := range set.Instances {
							end := float64(makespan(b, &in, schedules))
							best += 100 * (end/float64(in.Best) - 1)
							path += 100 * (end/float64(in.CriticalPath) - 1)
						}
					}
					b.ReportMetric(best/float64(len(set.Instances)), "%over-best")
					b.ReportMetric(path/float64(len(set.Instances)), "%over-path")
				})
			}
		}
	}
}
