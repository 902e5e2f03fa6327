package rcpsp_test

import (
	"errors"
	"testing"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// each runs a check on the sample of a set, and on every stride-th instance of the whole set where
// it lies beside the module.
func each(
	t *testing.T, set string, stride int, check func(t *testing.T, instances []published.Instance),
) {
	t.Helper()
	for _, s := range published.Sets(t, set, stride) {
		t.Run(set+", "+s.Name, func(t *testing.T) {
			t.Parallel()
			check(t, s.Instances)
		})
	}
}

func TestCriticalPathsAgreeWithThePublishedOnes(t *testing.T) {
	t.Parallel()
	for _, set := range []string{"j30", "j60", "j120", "patterson", "multiproject"} {
		each(t, set, 40, func(t *testing.T, instances []published.Instance) {
			for _, in := range instances {
				res := solve(t, in.Problem, rcpsp.Options{Schedules: 1, Heuristic: true})
				if res.CriticalPath != in.CriticalPath {
					t.Errorf("%s: critical path %d, published %d", in.Name, res.CriticalPath,
						in.CriticalPath)
				}
			}
		})
	}
}

func TestPattersonInstancesAreProvedOptimal(t *testing.T) {
	t.Parallel()
	each(t, "patterson", 1, func(t *testing.T, instances []published.Instance) {
		for _, in := range instances {
			res := solve(t, in.Problem, rcpsp.Options{Schedules: 2000, Seed: 1})
			if res.Makespan != in.Best || !res.Proven {
				t.Errorf("%s: makespan %d, proven %v; optimum %d", in.Name, res.Makespan,
					res.Proven, in.Best)
			}
		}
	})
}

// The mean over five seeds; all 480 instances are for cmd/netbench.
func TestPlansOf30ActivitiesAreWithinAnEighthOfAPercentOfTheOptimumAfter1000Schedules(
	t *testing.T,
) {
	t.Parallel()
	each(t, "j30", 5, func(t *testing.T, instances []published.Instance) {
		const seeds = 5
		over := 0.0
		for _, in := range instances {
			for seed := range uint64(seeds) {
				res := solve(t, in.Problem,
					rcpsp.Options{Schedules: 1000, Seed: seed + 1, Heuristic: true})
				if res.Makespan < in.Best || res.LowerBound > in.Best {
					t.Errorf("%s: makespan %d and bound %d contradict the optimum %d", in.Name,
						res.Makespan, res.LowerBound, in.Best)
				}
				over += float64(res.Makespan-in.Best) / float64(in.Best)
			}
		}
		if pct := 100 * over / float64(seeds*len(instances)); pct > 0.125 {
			t.Errorf("%.3f %% over the optimum on %d instances, want at most 0.125 %%", pct,
				len(instances))
		}
	})
}

// The makespans to compare with are those of a genetic algorithm after 500,000 schedules.
func TestSeveralProjectsEndWithin3PercentOfTheBestKnownAfter1000Schedules(t *testing.T) {
	t.Parallel()
	each(t, "multiproject", 12, func(t *testing.T, instances []published.Instance) {
		over := 0.0
		for _, in := range instances {
			res := solve(t, in.Problem, rcpsp.Options{Schedules: 1000, Seed: 1, Heuristic: true})
			if res.Makespan < in.Bound || res.LowerBound > in.Best {
				t.Errorf("%s: makespan %d and bound %d contradict the known %d to %d", in.Name,
					res.Makespan, res.LowerBound, in.Bound, in.Best)
			}
			over += float64(res.Makespan-in.Best) / float64(in.Best)
		}
		if pct := 100 * over / float64(len(instances)); pct > 3 {
			t.Errorf("%.2f %% over the best known on %d instances, want at most 3 %%", pct,
				len(instances))
		}
	})
}

func TestMaximumLagsNeverContradictThePublishedStatus(t *testing.T) {
	t.Parallel()
	each(t, "rcpspmax", 9, func(t *testing.T, instances []published.Instance) {
		optimal, infeasible := 0, 0
		for _, in := range instances {
			if len(in.Problem.Activities) > 32 || in.Bound != in.Best {
				continue
			}
			res, err := rcpsp.Solve(t.Context(), in.Problem, rcpsp.Options{Schedules: 200, Seed: 1})
			if in.Infeasible {
				infeasible++
			} else {
				optimal++
			}
			if cycle, refused := refuted(err); refused {
				if !in.Infeasible || cycle && in.CriticalPath != 0 {
					t.Errorf("%s: %v, but it is infeasible: %v, with a longest path of %d", in.Name,
						err, in.Infeasible, in.CriticalPath)
				}
				continue
			}
			if err != nil {
				t.Fatal(err)
			}
			if res.Feasible {
				if err := verify.Plan(in.Problem, res.Starts); err != nil {
					t.Errorf("%s: %v", in.Name, err)
				}
			}
			if in.Infeasible {
				if res.Feasible {
					t.Errorf("%s: a plan of an infeasible instance", in.Name)
				}
				continue
			}
			if res.Infeasible || res.LowerBound > in.Best ||
				res.Feasible && res.Makespan < in.Best {
				t.Errorf("%s: %+v contradicts the optimum %d", in.Name, *res, in.Best)
			}
		}
		if optimal < 15 || infeasible < 5 {
			t.Errorf("too few instances to mean anything: %d optimal, %d infeasible", optimal,
				infeasible)
		}
	})
}

// refuted reports whether an error proves that there is no plan, and whether by contradictory
// links.
func refuted(err error) (cycle, refused bool) {
	var links *rcpsp.CycleError
	var demand *rcpsp.DemandError
	cycle = errors.As(err, &links)
	return cycle, cycle || errors.As(err, &demand)
}

// Instances of all sizes; all 585 are for cmd/netbench.
func TestMaximumLagsAreSolvedOrRefutedWithin2000Schedules(t *testing.T) {
	t.Parallel()
	each(t, "rcpspmax", 13, func(t *testing.T, instances []published.Instance) {
		feasible, infeasible := 0, 0
		for _, in := range instances {
			res, err := rcpsp.Solve(t.Context(), in.Problem,
				rcpsp.Options{Schedules: 2000, Seed: 1})
			switch _, refused := refuted(err); {
			case err != nil && !refused:
				t.Fatal(err)
			case in.Infeasible:
				if infeasible++; !refused && !res.Infeasible {
					t.Errorf("%s: not proved infeasible: %+v", in.Name, *res)
				}
			default:
				if feasible++; refused || !res.Feasible {
					t.Errorf("%s: no plan: %v, %+v", in.Name, err, res)
				}
			}
		}
		if feasible < 25 || infeasible < 5 {
			t.Errorf("too few instances to mean anything: %d feasible, %d infeasible", feasible,
				infeasible)
		}
	})
}
