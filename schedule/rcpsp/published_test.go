package rcpsp_test

import (
	"errors"
	"testing"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
	"bentside/schedule/verify"
)

func TestCriticalPathsAgreeWithThePublishedOnes(t *testing.T) {
	t.Parallel()
	for _, set := range []string{"j30", "j60", "j120", "patterson"} {
		best := published.Table(t, set+"_best.csv")
		for k, in := range published.Instances(t, set+".tar.gz") {
			if k%40 != 0 {
				continue
			}
			res := solve(t, in.Problem, rcpsp.Options{Schedules: 1, Heuristic: true})
			if want := published.Number(t, best[in.Problem.Name]["cpm_lower_bound"]); res.CriticalPath != want {
				t.Errorf("%s: critical path %d, published %d", in.Problem.Name, res.CriticalPath, want)
			}
		}
	}
}

func TestPattersonInstancesAreProvedOptimal(t *testing.T) {
	t.Parallel()
	best := published.Table(t, "patterson_best.csv")
	for _, in := range published.Instances(t, "patterson.tar.gz") {
		res := solve(t, in.Problem, rcpsp.Options{Schedules: 2000, Seed: 1})
		if want := published.Number(t, best[in.Problem.Name]["optimum"]); res.Makespan != want || !res.Proven {
			t.Errorf("%s: makespan %d, proven %v; optimum %d", in.Problem.Name, res.Makespan, res.Proven, want)
		}
	}
}

// A fifth of the set; all 480 are for cmd/netbench.
func TestPlansOf30ActivitiesAreWithinAnEighthOfAPercentOfTheOptimumAfter1000Schedules(t *testing.T) {
	t.Parallel()
	best := published.Table(t, "j30_best.csv")
	over, count := 0.0, 0
	for k, in := range published.Instances(t, "j30.tar.gz") {
		if k%5 != 0 {
			continue
		}
		res := solve(t, in.Problem, rcpsp.Options{Schedules: 1000, Seed: 1, Heuristic: true})
		want := published.Number(t, best[in.Problem.Name]["upper_bound"])
		if res.Makespan < want || res.LowerBound > want {
			t.Errorf("%s: makespan %d and bound %d contradict the optimum %d", in.Problem.Name, res.Makespan, res.LowerBound, want)
		}
		over += float64(res.Makespan-want) / float64(want)
		count++
	}
	if pct := 100 * over / float64(count); count != 96 || pct > 0.125 {
		t.Errorf("%.3f %% over the optimum on %d instances, want at most 0.125 %% on 96", pct, count)
	}
}

func TestMaximumLagsNeverContradictThePublishedStatus(t *testing.T) {
	t.Parallel()
	best := published.Table(t, "rcpspmax_best.csv")
	checked := map[string]int{}
	for k, in := range published.Instances(t, "rcpspmax.tar.gz") {
		row := best[in.Folder+"/"+in.Problem.Name]
		if k%9 != 0 || len(in.Problem.Activities) > 32 || row["status"] == "open" {
			continue
		}
		checked[row["status"]]++
		name := in.Folder + "/" + in.Problem.Name
		res, err := rcpsp.Solve(t.Context(), in.Problem, rcpsp.Options{Schedules: 200, Seed: 1})
		var cycle *rcpsp.CycleError
		var demand *rcpsp.DemandError
		if errors.As(err, &cycle) || errors.As(err, &demand) {
			if row["status"] != "infeasible" || cycle != nil && row["temporal_lower_bound"] != "" {
				t.Errorf("%s: %v, but it is %s", name, err, row["status"])
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if res.Feasible {
			if err := verify.Plan(in.Problem, res.Starts); err != nil {
				t.Errorf("%s: %v", name, err)
			}
		}
		if row["status"] == "infeasible" {
			if res.Feasible {
				t.Errorf("%s: a plan of an infeasible instance", name)
			}
			continue
		}
		want := published.Number(t, row["upper_bound"])
		if res.Infeasible || res.LowerBound > want || res.Feasible && res.Makespan < want {
			t.Errorf("%s: %+v contradicts the optimum %d", name, *res, want)
		}
	}
	if checked["optimal"] < 15 || checked["infeasible"] < 5 {
		t.Errorf("too few instances to mean anything: %v", checked)
	}
}

// Every thirteenth of the set, of all sizes; all 585 are for cmd/netbench.
func TestMaximumLagsAreSolvedOrRefutedWithin2000Schedules(t *testing.T) {
	t.Parallel()
	best := published.Table(t, "rcpspmax_best.csv")
	feasible, infeasible := 0, 0
	for k, in := range published.Instances(t, "rcpspmax.tar.gz") {
		if k%13 != 6 {
			continue
		}
		name := in.Folder + "/" + in.Problem.Name
		res, err := rcpsp.Solve(t.Context(), in.Problem, rcpsp.Options{Schedules: 2000, Seed: 1})
		var cycle *rcpsp.CycleError
		var demand *rcpsp.DemandError
		switch refuted := errors.As(err, &cycle) || errors.As(err, &demand); {
		case err != nil && !refuted:
			t.Fatal(err)
		case best[name]["status"] == "infeasible":
			if infeasible++; !refuted && !res.Infeasible {
				t.Errorf("%s: not proved infeasible: %+v", name, *res)
			}
		default:
			if feasible++; refuted || !res.Feasible {
				t.Errorf("%s: no plan: %v, %+v", name, err, res)
			}
		}
	}
	if feasible < 25 || infeasible < 5 {
		t.Errorf("too few instances to mean anything: %d feasible, %d infeasible", feasible, infeasible)
	}
}
