package rcpsp_test

import (
	"context"
	"errors"
	"reflect"
	"runtime"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// drawAny returns a problem of any numbers at all, sensible ones more often.
func drawAny(t *rapid.T) *rcpsp.Problem {
	n, resources := rapid.IntRange(0, 5).Draw(t, "n"), rapid.IntRange(0, 3).Draw(t, "resources")
	extremes := []int{
		-1 << 63, -1 << 32, -rcpsp.MaxTicks - 1, -rcpsp.MaxTicks, -1, rcpsp.MaxUnits,
		rcpsp.MaxUnits + 1, rcpsp.MaxTicks, rcpsp.MaxTicks + 1, 1 << 31, 1<<63 - 1,
	}
	number := func(most int, label string) int {
		if rapid.IntRange(0, 19).Draw(t, "extreme") == 0 {
			return rapid.SampledFrom(extremes).Draw(t, label)
		}
		return rapid.IntRange(0, most).Draw(t, label)
	}
	p := &rcpsp.Problem{}
	for range resources {
		c := rcpsp.Constant(number(9, "units"))
		for at := 0; rapid.IntRange(0, 2).Draw(t, "another step") == 0; {
			at += number(9, "from")
			c = append(c, rcpsp.Step{From: at, Units: number(9, "units")})
		}
		p.Capacities = append(p.Capacities, c)
	}
	for range n {
		a := rcpsp.Activity{Duration: number(5, "duration"), Release: number(3, "release")}
		for range resources {
			a.Demand = append(a.Demand, number(3, "demand"))
		}
		p.Activities = append(p.Activities, a)
	}
	for range rapid.IntRange(0, 2*n).Draw(t, "links") {
		p.Links = append(p.Links,
			rcpsp.Link{
				From: number(n-1, "link from"), To: number(n-1, "link to"),
				Lag: number(9, "lag") - rapid.IntRange(0, 4).Draw(t, "back"),
			})
	}
	return p
}

func TestAnyNumbersGiveAnErrorOrAPlanThatVerifies(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawAny(t)
		res, err := rcpsp.Solve(context.Background(), p,
			rcpsp.Options{Schedules: 20, Seed: 1, Heuristic: rapid.Bool().Draw(t, "heuristic")})
		var (
			cycle   *rcpsp.CycleError
			demand  *rcpsp.DemandError
			horizon *rcpsp.HorizonError
		)
		switch {
		case err != nil:
			if !errors.As(err, &cycle) && !errors.As(err, &demand) && !errors.As(err, &horizon) &&
				!errors.Is(err, rcpsp.ErrInput) {
				t.Fatalf("an error that no caller knows: %v", err)
			}
		case res.Feasible:
			if err := verify.Plan(p, res.Starts); err != nil ||
				p.Makespan(res.Starts) != res.Makespan || res.LowerBound > res.Makespan {
				t.Fatalf("%+v: %v", *res, err)
			}
		}
	})
}

// A rigid chain that every free task could slip into tick by tick: what follows from one bound is
// as long as the square of the network. Alone, since memory is measured.
func TestAChainOfConclusionsWithoutEndIsGivenUp(t *testing.T) { //nolint:paralleltest // see above
	const links = 8000
	p := &rcpsp.Problem{Capacities: []rcpsp.Capacity{rcpsp.Constant(1)}}
	for i := range links {
		p.Activities = append(p.Activities, rcpsp.Activity{Duration: 1, Demand: []int{1}})
		if i > 0 {
			p.Links = append(p.Links, rcpsp.Link{From: i - 1, To: i, Lag: 2},
				rcpsp.Link{From: i, To: i - 1, Lag: -2})
		}
	}
	for range links {
		p.Activities = append(p.Activities, rcpsp.Activity{Duration: 2, Demand: []int{1}})
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	res, err := rcpsp.Solve(context.Background(), p,
		rcpsp.Options{Schedules: 1, Seed: 1, Heuristic: true})
	runtime.ReadMemStats(&after)
	if err != nil || res.Infeasible || res.Feasible && verify.Plan(p, res.Starts) != nil {
		t.Errorf("%+v, %v", res, err)
	}
	if used := (after.TotalAlloc - before.TotalAlloc) >> 20; used > 1024 {
		t.Errorf("%d MiB were used, outgrown buffers among them", used)
	}
	gone, cancel := context.WithCancel(context.Background())
	cancel()
	if res, err = rcpsp.Solve(gone, p,
		rcpsp.Options{Schedules: 1, Seed: 1, Heuristic: true}); err != nil || !res.Stopped {
		t.Errorf("stopped before it began: %+v, %v", res, err)
	}
}

// Proofs take time by the square of the network.
func TestBeyondTwoThousandActivitiesAllOfTheBudgetGoesToTheSearch(t *testing.T) {
	t.Parallel()
	for activities, same := range map[int]bool{200: false, 2_001: true} {
		p := project(activities, 1)
		proves := solve(t, p, rcpsp.Options{Schedules: 6, Seed: 1})
		searches := solve(t, p, rcpsp.Options{Schedules: 6, Seed: 1, Heuristic: true})
		if reflect.DeepEqual(proves, searches) != same {
			t.Errorf("%d activities: with proofs %d ticks over %d, without %d over %d", activities,
				proves.Makespan, proves.LowerBound, searches.Makespan, searches.LowerBound)
		}
	}
}
