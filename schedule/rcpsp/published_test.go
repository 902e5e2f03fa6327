package rcpsp_test

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
	"bentside/schedule/verify"
)

// Instances and best-known values: Kolisch and Sprecher, European Journal of
// Operational Research 96 (1997) 205–216; Patterson, Management Science 30
// (1984); Schwindt and others (maximum lags); as described in
// ../shared/data/psplib/README.md.

func open(t testing.TB, file string) *os.File {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "shared", "data", "psplib", file))
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("not checked: the published instances ../shared/data/psplib/%s are not beside the module", file)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f
}

func instances(t testing.TB, file string) []netfile.Instance {
	t.Helper()
	out, err := netfile.Read(file, open(t, file))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// table reads a table of best-known values: rows by set/instance, or by instance
// where there is one set, each by column.
func table(t *testing.T, file string) map[string]map[string]string {
	t.Helper()
	records, err := csv.NewReader(open(t, file)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string]string{}
	for _, rec := range records[1:] {
		row := map[string]string{}
		for k, title := range records[0] {
			row[title] = rec[k]
		}
		key := row["instance"]
		if set := row["set"]; set != "" {
			key = set + "/" + key
		}
		out[key] = row
	}
	return out
}

func number(t *testing.T, text string) int {
	t.Helper()
	v, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func TestCriticalPathsAgreeWithThePublishedOnes(t *testing.T) {
	t.Parallel()
	for _, set := range []string{"j30", "j60", "j120", "patterson"} {
		best := table(t, set+"_best.csv")
		for k, in := range instances(t, set+".tar.gz") {
			if k%40 != 0 {
				continue
			}
			res := solve(t, in.Problem, rcpsp.Options{Schedules: 1, Heuristic: true})
			if want := number(t, best[in.Problem.Name]["cpm_lower_bound"]); res.CriticalPath != want {
				t.Errorf("%s: critical path %d, published %d", in.Problem.Name, res.CriticalPath, want)
			}
		}
	}
}

func TestPattersonInstancesAreProvedOptimal(t *testing.T) {
	t.Parallel()
	best := table(t, "patterson_best.csv")
	for _, in := range instances(t, "patterson.tar.gz") {
		res := solve(t, in.Problem, rcpsp.Options{Schedules: 2000, Seed: 1})
		if want := number(t, best[in.Problem.Name]["optimum"]); res.Makespan != want || !res.Proven {
			t.Errorf("%s: makespan %d, proven %v; optimum %d", in.Problem.Name, res.Makespan, res.Proven, want)
		}
	}
}

// A fifth of the set; all 480 are for cmd/netbench.
func TestPlansOf30ActivitiesAreWithinAnEighthOfAPercentOfTheOptimumAfter1000Schedules(t *testing.T) {
	t.Parallel()
	best := table(t, "j30_best.csv")
	over, count := 0.0, 0
	for k, in := range instances(t, "j30.tar.gz") {
		if k%5 != 0 {
			continue
		}
		res := solve(t, in.Problem, rcpsp.Options{Schedules: 1000, Seed: 1, Heuristic: true})
		want := number(t, best[in.Problem.Name]["upper_bound"])
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
	best := table(t, "rcpspmax_best.csv")
	checked := map[string]int{}
	for k, in := range instances(t, "rcpspmax.tar.gz") {
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
		want := number(t, row["upper_bound"])
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
	best := table(t, "rcpspmax_best.csv")
	feasible, infeasible := 0, 0
	for k, in := range instances(t, "rcpspmax.tar.gz") {
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
