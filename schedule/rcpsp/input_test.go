package rcpsp_test

import (
	"context"
	"errors"
	"reflect"
	"testing"

	"bentside/schedule/rcpsp"
)

func tasks(durations ...int) []rcpsp.Activity {
	var out []rcpsp.Activity
	for i, d := range durations {
		out = append(out,
			rcpsp.Activity{Name: string(rune('a' + i)), Duration: d, Demand: []int{1}})
	}
	return out
}

func TestContradictoryLinksAreNamedByTheirPath(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		links []rcpsp.Link
		want  rcpsp.CycleError
	}{
		"a waits for itself": {
			[]rcpsp.Link{{From: 0, To: 0, Lag: 1}},
			rcpsp.CycleError{Path: []string{"a", "a"}, Lag: 1},
		},
		"a circle of finish-start links": {
			[]rcpsp.Link{
				{From: 0, To: 1, Lag: 2},
				{From: 1, To: 2, Lag: 3},
				{From: 2, To: 1, Lag: 4},
				{From: 2, To: 3, Lag: 4},
			},
			rcpsp.CycleError{Path: []string{"b", "c", "b"}, Lag: 7},
		},
		"a maximum lag shorter than the work between": {
			[]rcpsp.Link{
				{From: 0, To: 1, Lag: 2},
				{From: 1, To: 2, Lag: 3},
				{From: 2, To: 0, Lag: -4},
				{From: 2, To: 3, Lag: 4},
			},
			rcpsp.CycleError{Path: []string{"a", "b", "c", "a"}, Lag: 1},
		},
	} {
		p := &rcpsp.Problem{
			Activities: tasks(2, 3, 4, 5), Links: tc.links,
			Capacities: []rcpsp.Capacity{rcpsp.Constant(9)},
		}
		_, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 10})
		var got *rcpsp.CycleError
		if !errors.As(err, &got) || got.Lag != tc.want.Lag || !sameCircle(got.Path, tc.want.Path) {
			t.Errorf("%s: got %v, want %v", name, err, &tc.want)
		}
	}
}

// sameCircle reports whether two closed paths are the same up to their first.
func sameCircle(a, b []string) bool {
	if len(a) != len(b) || a[0] != a[len(a)-1] {
		return false
	}
	n := len(a) - 1
	for shift := range n {
		same := true
		for k := range n {
			same = same && a[(k+shift)%n] == b[k]
		}
		if same {
			return true
		}
	}
	return false
}

func TestACircleOfLengthZeroMeansStartTogether(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Activities: tasks(2, 3, 4), Capacities: []rcpsp.Capacity{rcpsp.Constant(2)},
		Links: []rcpsp.Link{{From: 0, To: 1, Lag: 0}, {From: 1, To: 0, Lag: 0}},
	}
	res := solve(t, p, rcpsp.Options{Schedules: 100})
	if res.Starts[0] != res.Starts[1] || res.Makespan != 6 || !res.Proven {
		t.Errorf("got %+v, want the first two together and 6 ticks", *res)
	}
}

func TestADemandThatNothingCarriesIsNamed(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		capacity rcpsp.Capacity
		want     *rcpsp.DemandError
	}{
		"above any capacity": {
			rcpsp.Constant(2), &rcpsp.DemandError{Activity: "a", Need: 3, Has: 2, Ticks: 4},
		},
		"enough, but not for so long": {
			rcpsp.Capacity{{0, 3}, {3, 2}},
			&rcpsp.DemandError{Activity: "a", Need: 3, Has: 3, Ticks: 4},
		},
		"enough before the last step":  {rcpsp.Capacity{{0, 3}, {4, 2}}, nil},
		"enough across several steps":  {rcpsp.Capacity{{0, 0}, {1, 3}, {3, 5}, {5, 0}}, nil},
		"enough only in the last step": {rcpsp.Capacity{{0, 0}, {9, 3}}, nil},
	} {
		p := &rcpsp.Problem{Activities: tasks(4), Capacities: []rcpsp.Capacity{tc.capacity}}
		p.Activities[0].Demand[0] = 3
		res, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 10})
		var got *rcpsp.DemandError
		errors.As(err, &got)
		if !reflect.DeepEqual(got, tc.want) ||
			tc.want == nil && (err != nil || !res.Proven || !res.Feasible) {
			t.Errorf("%s: got %v and %+v, want %v", name, err, res, tc.want)
		}
	}
}

func TestAPlanTooLongForTheAxisIsRefused(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Activities: tasks(rcpsp.MaxTicks-1, 2), Capacities: []rcpsp.Capacity{rcpsp.Constant(1)},
	}
	_, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 1})
	var got *rcpsp.HorizonError
	if want := (rcpsp.HorizonError{
		Ticks: rcpsp.MaxTicks + 1, Limit: rcpsp.MaxTicks,
	}); !errors.As(err, &got) || *got != want {
		t.Errorf("got %v, want %v", err, &want)
	}
}

func TestManyResourcesShortenTheAxis(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{Activities: []rcpsp.Activity{{Duration: 1 << 20, Demand: make([]int, 99)}}}
	for range 99 {
		p.Capacities = append(p.Capacities, rcpsp.Constant(rcpsp.MaxUnits))
	}
	_, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 1})
	var got *rcpsp.HorizonError
	if !errors.As(err, &got) || got.Limit >= 1<<20 {
		t.Errorf("got %v, want a refusal that keeps memory bounded", err)
	}
}

func TestNumbersThatMakeNoSenseAreRefused(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*rcpsp.Problem, *rcpsp.Options){
		"no budget": func(_ *rcpsp.Problem, o *rcpsp.Options) { o.Schedules = 0 },
		"negative duration": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities[0].Duration = -1
		},
		"endless duration": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities[0].Duration = rcpsp.MaxTicks + 1
		},
		"negative release": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities[0].Release = -1
		},
		"negative demand": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities[0].Demand[0] = -1
		},
		"too few demands": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities[0].Demand = nil
		},
		"link to nowhere": func(p *rcpsp.Problem, _ *rcpsp.Options) { p.Links[0].To = 2 },
		"absurd lag": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Links[0].Lag = -rcpsp.MaxTicks - 1
		},
		"empty capacity": func(p *rcpsp.Problem, _ *rcpsp.Options) { p.Capacities[0] = nil },
		"late first step": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Capacities[0][0].From = 1
		},
		"negative capacity": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Capacities[0][0].Units = -1
		},
		"steps out of order": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Capacities[0] = rcpsp.Capacity{{0, 2}, {5, 2}, {5, 1}}
		},
		"too many resources": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Capacities = make([]rcpsp.Capacity, rcpsp.MaxResources+1)
		},
		"too many for the search by clauses": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities, p.Capacities[0] = make([]rcpsp.Activity, 1<<16+1),
				rcpsp.Capacity{{0, 2}, {5, 3}}
			for i := range p.Activities {
				p.Activities[i].Demand = []int{1}
			}
		},
		"too many activities": func(p *rcpsp.Problem, _ *rcpsp.Options) {
			p.Activities = make([]rcpsp.Activity, rcpsp.MaxActivities+1)
		},
	} {
		p := &rcpsp.Problem{
			Activities: tasks(1, 2), Links: []rcpsp.Link{{From: 0, To: 1, Lag: 1}},
			Capacities: []rcpsp.Capacity{rcpsp.Constant(2)},
		}
		o := rcpsp.Options{Schedules: 5}
		spoil(p, &o)
		if res, err := rcpsp.Solve(context.Background(), p, o); !errors.Is(err, rcpsp.ErrInput) {
			t.Errorf("%s: got %+v, %v; want %v", name, res, err, rcpsp.ErrInput)
		}
	}
}

func TestNothingToDoIsDoneAtOnce(t *testing.T) {
	t.Parallel()
	for name, p := range map[string]*rcpsp.Problem{
		"no activities": {},
		"milestones": {
			Activities: tasks(0, 0), Links: []rcpsp.Link{{From: 0, To: 1}},
			Capacities: []rcpsp.Capacity{rcpsp.Constant(0)},
		},
	} {
		if res := solve(t, p, rcpsp.Options{Schedules: 1}); res.Makespan != 0 || !res.Proven ||
			!res.Feasible {
			t.Errorf("%s: %+v", name, *res)
		}
	}
}

// Weighing all against all would take minutes.
func TestAHundredThousandIndependentActivitiesArePlanned(t *testing.T) {
	t.Parallel()
	p := &rcpsp.Problem{
		Activities: tasks(make([]int, 100_000)...),
		Capacities: []rcpsp.Capacity{rcpsp.Constant(25_000)},
	}
	for i := range p.Activities {
		p.Activities[i].Duration = 1 + i%3
	}
	res := solve(t, p, rcpsp.Options{Schedules: 2, Seed: 1})
	if res.LowerBound != 8 || res.Makespan > 11 {
		t.Errorf("makespan %d, bound %d; want at most 11 and 8", res.Makespan, res.LowerBound)
	}
}
