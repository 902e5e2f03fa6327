package verify_test

import (
	"context"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// feasible is the definition of a plan, tick by tick and without any cleverness.
func feasible(p *rcpsp.Problem, starts []int) bool {
	for i, a := range p.Activities {
		if starts[i] < 0 || starts[i] < a.Release {
			return false
		}
	}
	for _, l := range p.Links {
		if starts[l.To] < starts[l.From]+l.Lag {
			return false
		}
	}
	for t := range p.Makespan(starts) {
		for r, c := range p.Capacities {
			free := 0
			for _, s := range c {
				if s.From <= t {
					free = s.Units
				}
			}
			for i, a := range p.Activities {
				if starts[i] <= t && t < starts[i]+a.Duration {
					free -= a.Demand[r]
				}
			}
			if free < 0 {
				return false
			}
		}
	}
	return true
}

func drawProblem(t *rapid.T) *rcpsp.Problem {
	p := &rcpsp.Problem{Capacities: []rcpsp.Capacity{
		rcpsp.Constant(rapid.IntRange(3, 5).Draw(t, "units")),
		{
			{From: 0, Units: rapid.IntRange(0, 3).Draw(t, "early")},
			{From: rapid.IntRange(1, 9).Draw(t, "from"), Units: 3},
		},
	}}
	n := rapid.IntRange(2, 12).Draw(t, "n")
	for i := range n {
		a := rcpsp.Activity{
			Duration: rapid.IntRange(0, 5).Draw(t, "duration"),
			Demand: []int{
				rapid.IntRange(0, 3).Draw(t, "demand"), rapid.IntRange(0, 3).Draw(t, "demand"),
			},
			Release: rapid.IntRange(-6, 6).Draw(t, "release"),
		}
		a.Release = max(0, a.Release)
		p.Activities = append(p.Activities, a)
		if i > 0 {
			p.Links = append(p.Links,
				rcpsp.Link{
					From: rapid.IntRange(0, i-1).Draw(t, "from"), To: i,
					Lag: rapid.IntRange(0, 6).Draw(t, "lag"),
				})
		}
	}
	return p
}

func TestAPlanWithOneStartMovedIsRefusedExactlyWhenItBreaksSomething(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawProblem(t)
		res, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 1000, Seed: 7})
		if err != nil {
			t.Fatal(err)
		}
		if !res.Feasible {
			t.Fatalf("no plan within the budget: %+v", *res)
		}
		if err := verify.Plan(p, res.Starts); err != nil {
			t.Fatalf("the planner's own plan: %v", err)
		}
		// Every single move of every activity, not a sample of them.
		for i, start := range res.Starts {
			for to := -1; to <= res.Makespan+1; to++ {
				res.Starts[i] = to
				if err, ok := verify.Plan(p,
					res.Starts), feasible(p, res.Starts); (err == nil) != ok {
					t.Fatalf(
						"activity %d moved from %d to %d: verifier says %v, tick-by-tick check %v",
						i, start, to, err, ok,
					)
				}
			}
			res.Starts[i] = start
		}
	})
}

func TestAViolationIsNamed(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Activities: []rcpsp.Activity{
			{Name: "strip", Duration: 2, Demand: []int{1}, Release: 1},
			{Name: "sand", Duration: 3, Demand: []int{1}},
			{Duration: 1, Demand: []int{1}},
		},
		Links:      []rcpsp.Link{{From: 0, To: 1, Lag: 2}, {From: 1, To: 0, Lag: -4}},
		Capacities: []rcpsp.Capacity{{{From: 0, Units: 1}, {From: 7, Units: 0}}},
	}
	for _, tc := range []struct {
		starts []int
		want   error
	}{
		{[]int{1, 3, 0}, nil},
		{[]int{0, 3, 6}, &verify.StartError{Activity: "strip", Start: 0, Release: 1}},
		{[]int{1, 3, -1}, &verify.StartError{Activity: "activity 2", Start: -1}},
		{
			[]int{1, 2, 0},
			&verify.LinkError{From: "strip", To: "sand", Lag: 2, FromStart: 1, Start: 2},
		},
		{
			[]int{1, 6, 0},
			&verify.LinkError{From: "sand", To: "strip", Lag: -4, FromStart: 6, Start: 1},
		},
		{[]int{1, 3, 5}, &verify.CapacityError{Resource: 0, Tick: 5, Used: 2, Has: 1}},
		{[]int{1, 3, 7}, &verify.CapacityError{Resource: 0, Tick: 7, Used: 1, Has: 0}},
	} {
		if got := verify.Plan(p, tc.starts); !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%v: got %v, want %v", tc.starts, got, tc.want)
		}
	}
	if verify.Plan(p, []int{1, 3}) == nil {
		t.Error("a plan without a start for the third activity was accepted")
	}
}

// The schedules are those that the library of the set publishes (Kolisch and Sprecher 1997); not
// all of them are the best known.
func TestPublishedSchedulesOf120ActivitiesAreAccepted(t *testing.T) {
	t.Parallel()
	for _, set := range published.Sets(t, "j120", 1) {
		t.Run(set.Name, func(t *testing.T) {
			t.Parallel()
			accepted := 0
			for _, in := range set.Instances {
				if in.Starts == nil {
					continue
				}
				if err := verify.Plan(in.Problem, in.Starts); err != nil {
					t.Errorf("%s: %v", in.Name, err)
				} else if got := in.Problem.Makespan(in.Starts); got != in.Makespan {
					t.Errorf("%s: makespan %d, published %d", in.Name, got, in.Makespan)
				}
				accepted++
			}
			if want := map[string]int{"sample": 19, "whole": 246}[set.Name]; accepted != want {
				t.Errorf("%d published schedules, want %d", accepted, want)
			}
		})
	}
}
