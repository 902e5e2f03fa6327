package rcpsp_test

import (
	"context"
	"errors"
	"math/rand/v2"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

func solve(t interface {
	Helper()
	Fatal(...any)
}, p *rcpsp.Problem, o rcpsp.Options,
) *rcpsp.Result {
	t.Helper()
	res, err := rcpsp.Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if res.Schedules > o.Schedules {
		t.Fatal("schedules used", res.Schedules, "of", o.Schedules)
	}
	if !res.Feasible {
		if res.Starts != nil || res.Makespan != 0 {
			t.Fatal("no plan, but starts", res.Starts, "and makespan", res.Makespan)
		}
		return res
	}
	if err := verify.Plan(p, res.Starts); err != nil {
		t.Fatal(err)
	}
	if m := p.Makespan(res.Starts); m != res.Makespan {
		t.Fatal("makespan", res.Makespan, "of a plan that ends at", m)
	}
	if res.LowerBound > res.Makespan || res.Proven != (res.LowerBound == res.Makespan) {
		t.Fatal("bound", res.LowerBound, "makespan", res.Makespan, "proven", res.Proven)
	}
	return res
}

func TestSmallProblemsAreSolvedToTheOptimumThatTryingEveryPlanFinds(t *testing.T) {
	t.Parallel()
	for name, k := range map[string]kind{
		"finish to start":       {},
		"releases":              {releases: true},
		"many units":            {scaled: true, releases: true},
		"all kinds of links":    {lags: true},
		"links and releases":    {lags: true, releases: true},
		"maximum lags":          {lags: true, maxLags: true, releases: true},
		"varying capacity":      {varying: true, releases: true},
		"varying, maximum lags": {varying: true, lags: true, maxLags: true},
		"everything, wide": {
			varying: true, lags: true, maxLags: true, releases: true, scaled: true,
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) { againstBruteForce(t, drawTiny(t, k)) })
		})
	}
}

func againstBruteForce(t *rapid.T, p *rcpsp.Problem) {
	want, feasible := optimum(p)
	const schedules = 5000
	_, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: schedules, Seed: 3})
	var demand *rcpsp.DemandError
	var cycle *rcpsp.CycleError
	if errors.As(err, &demand) || errors.As(err, &cycle) {
		if feasible {
			t.Fatalf("refused with %v, but there is a plan of %d ticks", err, want)
		}
		return
	}
	res := solve(t, p, rcpsp.Options{Schedules: schedules, Seed: 3})
	if !res.Proven || res.Feasible != feasible || res.Infeasible == feasible {
		t.Fatalf("got %+v, want feasible %v proved", *res, feasible)
	}
	if feasible && res.Makespan != want {
		t.Fatalf("makespan %d, optimum %d", res.Makespan, want)
	}
	for _, few := range []int{1, 2, 7} {
		for _, heuristic := range []bool{false, true} {
			res := solve(t, p, rcpsp.Options{Schedules: few, Seed: 3, Heuristic: heuristic})
			switch {
			case res.Infeasible && feasible, res.Feasible && !feasible:
				t.Fatalf("%d schedules: %+v, feasible by brute force: %v", few, *res, feasible)
			case feasible && res.LowerBound > want, res.Feasible && res.Makespan < want:
				t.Fatalf("%d schedules: makespan %d, bound %d, optimum %d", few, res.Makespan,
					res.LowerBound, want)
			}
		}
	}
}

func TestWithCapacityForAllEverythingStartsAtItsCriticalPathDate(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawTiny(t,
			kind{
				lags: rapid.Bool().Draw(t, "lags"), maxLags: rapid.Bool().Draw(t, "maximum"),
				releases: true,
			})
		for r := range p.Capacities {
			sum := 0
			for i := range p.Activities {
				p.Activities[i].Duration++ // no milestones: a last one would be put at the end
				sum += p.Activities[i].Demand[r]
			}
			p.Capacities[r] = rcpsp.Constant(sum)
		}
		early := make([]int, len(p.Activities))
		span := 0
		for range p.Activities { // longest paths of as many links as there can be
			for i, a := range p.Activities {
				early[i] = max(early[i], a.Release)
				for _, l := range p.Links {
					if l.To == i {
						early[i] = max(early[i], early[l.From]+l.Lag)
					}
				}
			}
		}
		for i, a := range p.Activities {
			span = max(span, early[i]+a.Duration)
		}
		for _, l := range p.Links {
			if early[l.From]+l.Lag > early[l.To] { // the dates still move: a circle
				_, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 1})
				if cycle := (*rcpsp.CycleError)(nil); !errors.As(err, &cycle) {
					t.Fatalf("got %v, want a circle of links", err)
				}
				return
			}
		}
		res := solve(t, p, rcpsp.Options{Schedules: 1, Heuristic: true})
		if !reflect.DeepEqual(res.Starts, early) || res.Makespan != span ||
			res.CriticalPath != span || !res.Proven {
			t.Fatalf("got %+v, want starts %v and makespan %d", *res, early, span)
		}
	})
}

func TestRenumberingActivitiesAndResourcesKeepsTheOptimum(t *testing.T) {
	t.Parallel()
	for seed := range uint64(6) {
		p := project(12, seed)
		rng := rand.New(rand.NewPCG(seed, 99))
		q := renumbered(p, rng.Perm(len(p.Activities)), rng.Perm(len(p.Capacities)))
		rng.Shuffle(len(q.Links), func(i, j int) {
			q.Links[i], q.Links[j] = q.Links[j], q.Links[i]
		})
		o := rcpsp.Options{Schedules: 4_000, Seed: 1}
		a, b := solve(t, p, o), solve(t, q, o)
		if !a.Proven || !b.Proven || a.Makespan != b.Makespan {
			t.Errorf("seed %d: %d (proven %v) became %d (proven %v)", seed, a.Makespan, a.Proven,
				b.Makespan, b.Proven)
		}
	}
}

func TestRenumberingKeepsWhatIsProvedOfAnyProblem(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawTiny(t, kind{
			lags: rapid.Bool().Draw(t, "lags"), maxLags: rapid.Bool().Draw(t, "maximum"),
			releases: rapid.Bool().Draw(t, "releases"), varying: rapid.Bool().Draw(t, "varying"),
		})
		var activities, resources []int
		for i := range p.Activities {
			activities = append(activities, i)
		}
		for r := range p.Capacities {
			resources = append(resources, r)
		}
		q := renumbered(p, rapid.Permutation(activities).Draw(t, "activities"),
			rapid.Permutation(resources).Draw(t, "resources"))
		q.Links = rapid.Permutation(q.Links).Draw(t, "links")
		o := rcpsp.Options{Schedules: 5000, Seed: 3}
		a, errA := rcpsp.Solve(context.Background(), p, o)
		b, errB := rcpsp.Solve(context.Background(), q, o)
		if reflect.TypeOf(errA) != reflect.TypeOf(errB) {
			t.Fatalf("%v became %v", errA, errB)
		}
		if errA != nil {
			return
		}
		type proof struct {
			makespan, bound, path        int
			proven, feasible, infeasible bool
		}
		of := func(r *rcpsp.Result) proof {
			return proof{
				r.Makespan, r.LowerBound, r.CriticalPath, r.Proven, r.Feasible, r.Infeasible,
			}
		}
		if of(a) != of(b) {
			t.Fatalf("%+v became %+v", of(a), of(b))
		}
	})
}

// renumbered gives activity i the number to[i] and lists resources in order.
func renumbered(p *rcpsp.Problem, to, order []int) *rcpsp.Problem {
	q := &rcpsp.Problem{Activities: make([]rcpsp.Activity, len(p.Activities))}
	for _, r := range order {
		q.Capacities = append(q.Capacities, p.Capacities[r])
	}
	for i, a := range p.Activities {
		b := a
		b.Demand = nil
		for _, r := range order {
			b.Demand = append(b.Demand, a.Demand[r])
		}
		q.Activities[to[i]] = b
	}
	for _, l := range p.Links {
		q.Links = append(q.Links, rcpsp.Link{From: to[l.From], To: to[l.To], Lag: l.Lag})
	}
	return q
}
