package rcpsp_test

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"bentside/schedule/internal/published"
	"bentside/schedule/rcpsp"
)

// stated writes p for MiniZinc (minizinc.org), a general-purpose constraint
// language; its cumulative constraint is the definition of a limited resource.
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
		say("constraint start[%d] >= %d /\\ start[%d] + %d <= makespan;", i+1, a.Release, i+1, a.Duration)
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
		for k, s := range c { // what a step offers less than the most is taken by a task that does not move
			end := 2 * horizon
			if k+1 < len(c) {
				end = c[k+1].From
			}
			starts, lengths = append(starts, fmt.Sprint(s.From)), append(lengths, fmt.Sprint(end-s.From))
			needs = append(needs, fmt.Sprint(most-s.Units))
		}
		say("constraint cumulative(start ++ [%s], [%s], [%s], %d);", strings.Join(starts, ","),
			strings.Join(append(slices.Clone(durations), lengths...), ","), strings.Join(needs, ","), most)
	}
	say("solve :: int_search(start, smallest, indomain_min) minimize makespan;")
	say("output [\"makespan=\\(makespan)\\n\"];")
	return text.String()
}

// answer returns the optimum that MiniZinc proves with Gecode, 0 when it proves
// that there is no plan.
func answer(t *testing.T, p *rcpsp.Problem) int {
	t.Helper()
	program, err := exec.LookPath("minizinc")
	if err != nil {
		t.Skip("not checked: the constraint solver minizinc with gecode is not installed")
	}
	cmd := exec.CommandContext(t.Context(), program, "--solver", "gecode", "--time-limit", "30000", modelFile(t, p))
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("minizinc: %v\n%s", err, errs.String())
	}
	if strings.Contains(out.String(), "UNSATISFIABLE") {
		return 0
	}
	if !strings.Contains(out.String(), "==========") {
		t.Skipf("not checked: minizinc found no proof in half a minute: %s", filepath.Base(program))
	}
	all := regexp.MustCompile(`makespan=(\d+)`).FindAllStringSubmatch(out.String(), -1)
	return published.Number(t, all[len(all)-1][1])
}

func TestOptimaAgreeWithAGeneralPurposeConstraintSolver(t *testing.T) {
	t.Parallel()
	for name, p := range map[string]*rcpsp.Problem{
		"finish to start, 10": project(10, 3), "finish to start, 11": project(11, 4), "finish to start, 12": project(12, 5),
		"maximum lags, 8": crowded(8, 6), "maximum lags, 9": crowded(9, 7), "tight maximum lags": strict(8, 8),
		"varying capacity, 9": varyingOf(project(9, 9)), "varying capacity, maximum lags, 8": varyingOf(crowded(8, 10)),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			want := answer(t, p)
			res := solve(t, p, rcpsp.Options{Schedules: 20_000, Seed: 1})
			if !res.Proven || res.Makespan != want || res.Feasible != (want > 0) {
				t.Errorf("got %+v, minizinc proves %d", *res, want)
			}
		})
	}
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
