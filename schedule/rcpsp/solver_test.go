package rcpsp_test

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"bentside/schedule/rcpsp"
)

// stated writes p for MiniZinc (minizinc.org), a general-purpose constraint language; its
// cumulative constraint is the definition of a limited resource.
func stated(p *rcpsp.Problem) string {
	var text strings.Builder
	horizon := 0
	for _, a := range p.Activities {
		horizon += a.Duration + a.Release
	}
	for _, l := range p.Links {
		horizon += max(0, l.Lag)
	}
	for _, c := range p.Capacities {
		horizon += c[len(c)-1].From
	}
	say := func(format string, args ...any) { fmt.Fprintf(&text, format+"\n", args...) }
	say("include \"cumulative.mzn\";")
	say("array[1..%d] of var 0..%d: start;", len(p.Activities), horizon)
	say("var 0..%d: makespan;", 2*horizon)
	var durations []string
	for i, a := range p.Activities {
		durations = append(durations, fmt.Sprint(a.Duration))
		say("constraint start[%d] >= %d /\\ start[%d] + %d <= makespan;", i+1, a.Release, i+1,
			a.Duration)
	}
	for _, l := range p.Links {
		say("constraint start[%d] >= start[%d] + %d;", l.To+1, l.From+1, l.Lag)
	}
	for r, c := range p.Capacities {
		var starts, lengths, needs []string
		for _, a := range p.Activities {
			needs = append(needs, fmt.Sprint(a.Demand[r]))
		}
		most := 0
		for _, s := range c {
			most = max(most, s.Units)
		}
		// what a step offers less than the most is taken by a task that does not move
		for k, s := range c {
			end := 2 * horizon
			if k+1 < len(c) {
				end = c[k+1].From
			}
			starts, lengths = append(starts, fmt.Sprint(s.From)),
				append(lengths, fmt.Sprint(end-s.From))
			needs = append(needs, fmt.Sprint(most-s.Units))
		}
		say("constraint cumulative(start ++ [%s], [%s], [%s], %d);", strings.Join(starts, ","),
			strings.Join(append(slices.Clone(durations), lengths...), ","),
			strings.Join(needs, ","), most)
	}
	say("solve :: int_search(start, smallest, indomain_min) minimize makespan;")
	say("output [\"makespan=\\(makespan)\\n\"];")
	return text.String()
}

// families are problems by kind and seed.
var families = map[string]func(seed uint64) *rcpsp.Problem{
	"finish to start": func(seed uint64) *rcpsp.Problem {
		return scarce(project(12, seed))
	},
	"maximum lags": func(seed uint64) *rcpsp.Problem {
		return scarce(crowded(10, seed))
	},
	"every lag bounded": func(seed uint64) *rcpsp.Problem {
		return scarce(strict(8, seed))
	},
	"varying capacity": func(seed uint64) *rcpsp.Problem {
		return varyingOf(scarce(project(10, seed)))
	},
	"maximum lags, varying capacity": func(seed uint64) *rcpsp.Problem {
		return varyingOf(scarce(strict(7, seed)))
	},
}

// recorded are the optima, from seed 1 on, that MiniZinc 2.6.4 proved with Gecode 6.2.0 for the
// problems as stated writes them; 0: it proved that there is no plan.
var recorded = map[string][]int{
	"finish to start":                {31, 41, 53, 34, 33, 28},
	"maximum lags":                   {28, 29, 44, 26, 29, 27},
	"every lag bounded":              {14, 0, 0, 26, 21, 20},
	"varying capacity":               {35, 40, 52, 39, 37, 36},
	"maximum lags, varying capacity": {22, 33, 0, 39, 22, 27},
}

var again = flag.Bool("minizinc", false,
	"ask the constraint solver for its optima again, which takes a minute or two")

func TestOptimaAgreeWithAGeneralPurposeConstraintSolver(t *testing.T) {
	t.Parallel()
	for name, optima := range recorded {
		for k, optimum := range optima {
			seed := uint64(k) + 1
			t.Run(fmt.Sprint(name, ", seed ", seed), func(t *testing.T) {
				t.Parallel()
				p := families[name](seed)
				if *again {
					if got := minizinc(t, p); got != optimum {
						t.Errorf("MiniZinc proves %d, recorded is %d", got, optimum)
					}
				}
				res := solve(t, p, rcpsp.Options{Schedules: 20_000, Seed: 1})
				if !res.Proven || res.Makespan != optimum || res.Feasible != (optimum > 0) {
					t.Errorf("got %+v, MiniZinc proves %d", *res, optimum)
				}
			})
		}
	}
}

// minizinc returns the optimum that the solver proves, 0 when it proves that there is no plan.
func minizinc(t *testing.T, p *rcpsp.Problem) int {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), "minizinc", "--solver", "gecode", modelFile(t, p))
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("minizinc: %v\n%s", err, errs.String())
	}
	if strings.Contains(out.String(), "UNSATISFIABLE") {
		return 0
	}
	all := regexp.MustCompile(`makespan=(\d+)`).FindAllStringSubmatch(out.String(), -1)
	if !strings.Contains(out.String(), "==========") || len(all) == 0 {
		t.Fatalf("minizinc ended without a proof:\n%s", out.String())
	}
	optimum, err := strconv.Atoi(all[len(all)-1][1])
	if err != nil {
		t.Fatal(err)
	}
	return optimum
}

// scarce leaves just more of each resource than one activity may need.
func scarce(p *rcpsp.Problem) *rcpsp.Problem {
	for r := range p.Capacities {
		p.Capacities[r] = rcpsp.Constant(11)
	}
	return p
}

// varyingOf takes half of each resource away for some ticks.
func varyingOf(p *rcpsp.Problem) *rcpsp.Problem {
	for r, c := range p.Capacities {
		p.Capacities[r] = rcpsp.Capacity{c[0], {3 + 2*r, c[0].Units / 2}, {9 + 2*r, c[0].Units}}
	}
	return p
}

// strict returns a project in which every link also has a maximum lag.
func strict(n int, seed uint64) *rcpsp.Problem {
	p := project(n, seed)
	for _, l := range append([]rcpsp.Link(nil), p.Links...) {
		p.Links = append(p.Links, rcpsp.Link{From: l.To, To: l.From, Lag: -l.Lag - 3})
	}
	return p
}

func modelFile(t *testing.T, p *rcpsp.Problem) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "plan.mzn")
	if err := os.WriteFile(name, []byte(stated(p)), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}
