package rcpsp_test

import (
	"context"
	"fmt"
	"reflect"
	"testing"
	"time"

	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// crowded returns a project whose maximum lags leave no list decoder to use.
func crowded(n int, seed uint64) *rcpsp.Problem {
	p := project(n, seed)
	for i := 0; i+1 < n; i += 3 {
		p.Links = append(p.Links, rcpsp.Link{From: i + 1, To: i, Lag: -60})
	}
	return p
}

func TestTheSameSeedGivesTheSameResultAndAnotherSeedAnotherSearch(t *testing.T) {
	t.Parallel()
	for name, p := range map[string]*rcpsp.Problem{
		"lists": project(60, 1), "maximum lags": crowded(30, 1),
	} {
		for _, heuristic := range []bool{false, true} {
			o := rcpsp.Options{Schedules: 300, Seed: 5, Heuristic: heuristic}
			if a, b := solve(t, p, o), solve(t, p, o); !reflect.DeepEqual(a, b) {
				t.Errorf("%s, heuristic %v: %+v became %+v", name, heuristic, *a, *b)
			}
		}
	}
	plans := map[string]bool{}
	for seed := range uint64(6) {
		res := solve(t, project(60, 1), rcpsp.Options{Schedules: 50, Seed: seed, Heuristic: true})
		plans[fmt.Sprint(res.Starts)] = true
	}
	if len(plans) < 2 {
		t.Error("six seeds gave the same plan: the seed is not used")
	}
}

func TestNoSearchUsesMoreSchedulesThanItsBudget(t *testing.T) {
	t.Parallel()
	for name, p := range map[string]*rcpsp.Problem{
		"lists": project(60, 2), "maximum lags": crowded(40, 2),
	} {
		for _, heuristic := range []bool{false, true} {
			for _, schedules := range []int{1, 2, 3, 10, 99, 700} {
				res := solve(t, p,
					rcpsp.Options{Schedules: schedules, Seed: 1, Heuristic: heuristic})
				if most := int64(schedules * len(p.Activities)); res.Assignments > most ||
					res.Assignments == 0 {
					t.Errorf("%s, heuristic %v: %d assignments of %d", name, heuristic,
						res.Assignments, most)
				}
				if want := (int(res.Assignments) +
					len(p.Activities) - 1) / len(p.Activities); res.Schedules != want {
					t.Errorf("%s: %d schedules reported for %d assignments, want %d", name,
						res.Schedules, res.Assignments, want)
				}
			}
		}
	}
}

func TestAProofSpendsTheBudgetThatTheHeuristicLeaves(t *testing.T) {
	t.Parallel()
	p := project(20, 4)
	heuristic := solve(t, p, rcpsp.Options{Schedules: 5000, Seed: 1, Heuristic: true})
	exact := solve(t, p, rcpsp.Options{Schedules: 5000, Seed: 1})
	if !exact.Proven || exact.Makespan > heuristic.Makespan {
		t.Errorf("exact search: %+v, heuristic: %+v", *exact, *heuristic)
	}
	if heuristic.LowerBound > exact.LowerBound {
		t.Errorf("simple bound %d above the proved one %d", heuristic.LowerBound, exact.LowerBound)
	}
}

func TestADeadlineReturnsTheBestPlanSoFar(t *testing.T) {
	t.Parallel()
	past, cancel := context.WithCancel(context.Background())
	cancel()
	soon, stop := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer stop()
	for name, ctx := range map[string]context.Context{"already past": past, "soon": soon} {
		for _, heuristic := range []bool{false, true} {
			p := project(120, 3)
			res, err := rcpsp.Solve(ctx, p,
				rcpsp.Options{Schedules: 1 << 40, Seed: 1, Heuristic: heuristic})
			if err != nil {
				t.Fatal(err)
			}
			if !res.Feasible || !res.Stopped || res.Proven || res.Schedules < 1 {
				t.Errorf("%s: %d schedules, feasible %v, stopped %v, proven %v", name,
					res.Schedules, res.Feasible, res.Stopped, res.Proven)
			}
			if err := verify.Plan(p, res.Starts); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	res, err := rcpsp.Solve(past, crowded(30, 3), rcpsp.Options{Schedules: 1 << 40})
	if err != nil || res.Feasible || res.Infeasible || !res.Stopped {
		t.Errorf("maximum lags after the deadline: %+v, %v; want nothing found and nothing proved",
			res, err)
	}
}

// A window at the end of a plan can come out shorter than the tick asked for.
func TestAPlanThatShrinksByMoreThanWasAskedForIsReportedAsItIs(t *testing.T) {
	t.Parallel()
	for seed := range uint64(300) { // solve compares the makespan with the starts
		solve(t, project(45, seed), rcpsp.Options{Schedules: 150, Seed: 9})
	}
}
