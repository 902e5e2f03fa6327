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
		{project(40, 1), 400},    // one search
		{project(40, 2), 25_000}, // several islands
		{crowded(20, 3), 200},
	} {
		for _, heuristic := range []bool{true, false} {
			var first *rcpsp.Result
			for _, workers := range []int{0, 1, 2, 3, 16} {
				res := solve(t, tc.problem, rcpsp.Options{Schedules: tc.schedules, Seed: 9, Heuristic: heuristic, Workers: workers})
				if first == nil {
					first = res
				}
				if !reflect.DeepEqual(res, first) {
					t.Errorf("%d schedules, heuristic %v, %d workers: %+v, want %+v", tc.schedules, heuristic, workers, *res, *first)
				}
			}
		}
	}
}
