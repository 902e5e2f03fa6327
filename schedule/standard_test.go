package schedule_test

import (
	"context"
	"strconv"
	"testing"

	"bentside/schedule"
	"bentside/schedule/internal/published"
	"bentside/schedule/netfile"
)

// standard is a published instance as a shop that never closes would have it.
func standard(t *testing.T, a *schedule.Axis, x netfile.Instance) *schedule.Problem {
	t.Helper()
	p := &schedule.Problem{Axis: a, DataDate: epoch}
	for _, c := range x.Problem.Capacities {
		p.Stations = append(p.Stations, schedule.Station{Name: "resource", Capacity: c[0].Units})
	}
	activities := make([]schedule.Activity, len(x.Problem.Activities))
	for i, y := range x.Problem.Activities {
		activities[i] = schedule.Activity{Name: strconv.Itoa(i), Work: schedule.Ticks(y.Duration)}
		for s, q := range y.Demand {
			if q > 0 && y.Duration > 0 {
				activities[i].Needs = append(activities[i].Needs, schedule.Need{Station: s, Quantity: q})
			}
		}
	}
	links := make([]schedule.Link, len(x.Problem.Links))
	for k, l := range x.Problem.Links {
		links[k] = schedule.Link{From: strconv.Itoa(l.From), To: strconv.Itoa(l.To), Kind: schedule.StartToStart, Lag: schedule.WorkingLag(schedule.Ticks(l.Lag))}
	}
	p.Network = network(t, activities, links...)
	return p
}

// The planner of shops is held against optimal makespans too (Kolisch and Sprecher, European Journal of Operational Research 96 (1997)
// 205-216, as described in ../shared/data/psplib/README.md): never below the optimum, its bound never above, and near it on the mean. Package
// rcpsp is the engine that goes for the best published.
func TestOptimaOfThePublishedInstancesAreNearlyMet(t *testing.T) {
	t.Parallel()
	all, best, a := published.Instances(t, "j30.tar.gz"), published.Table(t, "j30_best.csv"), openAxis(t, 2000)
	over, met, count := 0.0, 0, 0
	for k := 0; k < len(all); k += 16 {
		x := all[k]
		p := standard(t, a, x)
		plan, err := p.Plan(context.Background(), schedule.Options{Schedules: 1000, Seed: 1, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		if found := schedule.Verify(p, plan); len(found) > 0 {
			t.Errorf("%s: %v", x.Problem.Name, found)
		}
		optimum := published.Number(t, best[x.Problem.Name]["upper_bound"])
		end := int(plan.Finish / schedule.Instant(schedule.TickMinutes))
		if end < optimum || plan.Lower > int64(optimum)*int64(schedule.TickMinutes) {
			t.Errorf("%s ends at %d, at least at %d minutes; the optimum is %d", x.Problem.Name, end, plan.Lower, optimum)
		}
		over += 100 * float64(end-optimum) / float64(optimum)
		if end == optimum {
			met++
		}
		count++
	}
	over /= float64(count)
	t.Logf("%d instances, %.2f %% over the optimum on the mean, %d met", count, over, met)
	if over > 0.8 {
		t.Errorf("%.2f %% over the optimum on the mean", over)
	}
}
