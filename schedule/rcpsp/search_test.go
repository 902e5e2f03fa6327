package rcpsp_test

import (
	"reflect"
	"testing"

	"bentside/schedule/rcpsp"
)

func TestAnyNumberOfWorkersGivesTheSameResult(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		problem   *rcpsp.Problem
		schedules int
	}{
		{project(40, 1), 3}, // fewer schedules than lanes
		{project(40, 1), 400},
		{project(90, 2), 1_000},
		{project(90, 2), 100},   // the bound is raised from below, but not to the plan
		{crowded(90, 3), 100},   // likewise
		{crowded(90, 3), 147},   // proved
		{project(24, 1), 4_000}, // not every child competes with the worst
		// The bound meets a plan that was shortened meanwhile.
		{project(75, 491), 60},
		{crowded(75, 271), 60},
	} {
		for _, heuristic := range []bool{true, false} {
			var first *rcpsp.Result
			for _, workers := range []int{0, 1, 2, 3, 16} {
				res := solve(t, tc.problem,
					rcpsp.Options{
						Schedules: tc.schedules, Seed: 9, Heuristic: heuristic, Workers: workers,
					})
				if first == nil {
					if first = res; res.Schedules < tc.schedules/2 {
						t.Errorf("%d schedules were enough of %d: too easy to say anything",
							res.Schedules, tc.schedules)
					}
				}
				if !reflect.DeepEqual(res, first) {
					t.Errorf("%d schedules, heuristic %v, %d workers: %+v, want %+v", tc.schedules,
						heuristic, workers, *res, *first)
				}
			}
		}
	}
}
