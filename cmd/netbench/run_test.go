package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"bentside/schedule/rcpsp"
)

// The test binary serves as the command when asked to, so that exit status and output are those of
// a process.
func TestMain(m *testing.M) {
	if os.Getenv("NETBENCH_AS_COMMAND") == "1" {
		main()
	}
	os.Exit(m.Run())
}

func command(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0], args...)
	cmd.Env = append(os.Environ(), "NETBENCH_AS_COMMAND=1")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return out.String(), errs.String(), cmd.ProcessState.ExitCode()
}

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

const (
	// Two tasks of 3 and 4 ticks that exclude each other: 7 ticks, 4 without resources.
	pairText = "4 1\n2\n0 0 2 2 3\n3 2 1 4\n4 1 1 4\n0 0 0\n"
	// The second must start within a tick of the first, which lasts two.
	brokenText = "2 1 0 0\n0 1 1 1 [0]\n1 1 1 2 [2]\n2 1 2 3 1 [1] [-1]\n3 1 0\n" +
		"0 1 0 0\n1 1 2 1\n2 1 1 1\n3 1 0 0\n1\n"
	hugeText = "3 1\n1\n0 0 1 2\n3 2 1 3\n0 0 0\n"
)

func TestJSONHasOneObjectPerInstanceAndASummary(t *testing.T) {
	t.Parallel()
	best := write(t, "best.csv", "instance,lower_bound,upper_bound,cpm_lower_bound\npair,7,7,4\n")
	stdout, stderr, code := command(t, "--json", "--schedules", "50", "--best", best,
		write(t, "pair.rcp", pairText), write(t, "broken.sch", brokenText),
		write(t, "huge.rcp", hugeText))
	if code != 0 || stderr != "" {
		t.Fatalf("exit %d, stderr %q", code, stderr)
	}
	var lines []map[string]any
	for line := range strings.Lines(stdout) {
		var v map[string]any
		if err := json.Unmarshal([]byte(line), &v); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		if s, ok := v["seconds"].(float64); ok && s >= 0 {
			v["seconds"] = "some"
		}
		if s, ok := v["summary"].(map[string]any); ok {
			if n, ok := s["schedules_per_second"].(float64); ok && n > 0 {
				s["schedules_per_second"] = "some"
			}
		}
		lines = append(lines, v)
	}
	row := func(name string, makespan, bound, best, cpm, schedules float64, proven,
		feasible bool,
	) map[string]any {
		return map[string]any{
			"instance": name, "makespan": makespan, "lower_bound": bound, "best": best, "cpm": cpm,
			"schedules": schedules, "seconds": "some", "proven": proven, "feasible": feasible,
		}
	}
	want := []map[string]any{
		row("pair", 7, 7, 7, 4, lines[0]["schedules"].(float64), true, true),
		row("broken", 0, 0, 0, 0, 0, true, false),
		row("huge", 0, 0, 0, 0, 0, true, false),
		{"summary": map[string]any{
			"instances": 3.0, "feasible": 1.0, "avg_over_best_pct": 0.0, "avg_over_cpm_pct": 75.0,
			"equal_best": 1.0, "proven": 3.0, "schedules_per_second": "some",
		}},
	}
	if !reflect.DeepEqual(lines, want) {
		t.Errorf("got  %v\nwant %v", lines, want)
	}
}

func TestResultsComeInFileOrderWhateverTheNumberOfWorkers(t *testing.T) {
	t.Parallel()
	var files []string
	folder := t.TempDir()
	for k := range 9 {
		name := filepath.Join(folder, fmt.Sprintf("p%d.rcp", k))
		text := strings.Replace(pairText, "\n3 2 1 4", fmt.Sprintf("\n%d 2 1 4", 9-k), 1)
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, name)
	}
	var first []row
	for _, workers := range []string{"1", "2", "7", "40"} {
		var out bytes.Buffer
		args := append([]string{"--json", "--schedules", "20", "--workers", workers}, files...)
		if code := status(t.Context(), args, &out, io.Discard, rcpsp.Solve); code != 0 {
			t.Fatalf("%s workers: exit %d", workers, code)
		}
		var rows []row
		for line := range strings.Lines(out.String()) {
			var r row
			if err := json.Unmarshal([]byte(line), &r); err != nil {
				t.Fatal(err)
			}
			r.Seconds = 0
			rows = append(rows, r)
		}
		if first == nil {
			first = rows
		}
		if !reflect.DeepEqual(rows, first) {
			t.Errorf("%s workers: got %+v, want %+v", workers, rows, first)
		}
	}
	for k := range 9 {
		if got, want := first[k].Makespan, 13-k; got != want {
			t.Errorf("place %d: makespan %d, want %d", k, got, want)
		}
	}
}

func TestAPlanThatFailsVerificationMakesTheExitStatusOne(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*rcpsp.Result){
		"overbooked":        func(r *rcpsp.Result) { r.Starts = []int{0, 0, 0, 7} },
		"link broken":       func(r *rcpsp.Result) { r.Starts = []int{0, 0, 3, 0} },
		"start missing":     func(r *rcpsp.Result) { r.Starts = r.Starts[:3] },
		"makespan too good": func(r *rcpsp.Result) { r.Makespan-- },
	} {
		liar := func(ctx context.Context, p *rcpsp.Problem,
			o rcpsp.Options,
		) (*rcpsp.Result, error) {
			res, err := rcpsp.Solve(ctx, p, o)
			if err == nil && p.Name == "second" {
				spoil(res)
			}
			return res, err
		}
		var out, errs bytes.Buffer
		args := []string{
			"--json", "--schedules", "20", write(t, "first.rcp", pairText),
			write(t, "second.rcp", pairText),
		}
		if code := status(t.Context(), args, &out, &errs, liar); code != 1 ||
			!strings.Contains(errs.String(), "second: plan refused") {
			t.Errorf("%s: exit %d, %q; want 1 and the instance named", name, code, errs.String())
		}
		lines := slices.Collect(strings.Lines(out.String()))
		if len(lines) != 3 || !strings.Contains(lines[0], `"feasible":true`) ||
			!strings.Contains(lines[1], `"feasible":false`) {
			t.Errorf(
				"%s: got %q, want the good row, the refused one without a plan and the summary",
				name, lines,
			)
		}
	}
}

func TestAResultThatTheTableRefutesMakesTheExitStatusOne(t *testing.T) {
	t.Parallel()
	for name, csv := range map[string]string{
		"bound above the best":     "instance,upper_bound\nx,6\n",
		"plan below the bound":     "instance,lower_bound,upper_bound\nx,8,9\n",
		"plan below the optimum":   "instance,optimum\nx,8\n",
		"plan of the impossible":   "instance,status,upper_bound\nx,infeasible,\n",
		"table without a makespan": "instance,size\nx,6\n",
		"another set's table":      "instance,upper_bound\ny,7\n",
		"another critical path":    "instance,upper_bound,cpm_lower_bound\nx,7,5\n",
		"garbled table":            "instance,upper_bound\nx,six\n",
		"empty table":              "",
	} {
		_, stderr, code := command(t, "--best", write(t, "best.csv", csv),
			write(t, "x.rcp", pairText))
		if code != 1 || stderr == "" {
			t.Errorf("%s: exit %d, stderr %q", name, code, stderr)
		}
	}
}

func TestBadUseIsRefused(t *testing.T) {
	t.Parallel()
	file := write(t, "x.rcp", pairText)
	for _, args := range [][]string{
		{},
		{"--schedules", "0", file},
		{"--workers", "0", file},
		{"--unheard-of", file},
		{t.TempDir()},
		{"no such file.sm"},
		{write(t, "x.sm", "garbled")},
		{"--best", "no such file.csv", file},
	} {
		if stdout, stderr, code := command(t, args...); code != 1 || stderr == "" || stdout != "" {
			t.Errorf("%q: exit %d, stdout %q, stderr %q", args, code, stdout, stderr)
		}
	}
}

func TestHelpNamesEveryFlagAndIsNoError(t *testing.T) {
	t.Parallel()
	_, stderr, code := command(t, "--help")
	for _, name := range []string{
		"-heuristic", "-schedules", "-seed", "-workers", "-best", "-json",
	} {
		if !strings.Contains(stderr, "  "+name) {
			t.Errorf("%s is not explained in %q", name, stderr)
		}
	}
	if code != 0 {
		t.Errorf("exit %d", code)
	}
}

func TestAnInterruptEndsTheRunWithAnError(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	var errs bytes.Buffer
	if code := status(ctx, []string{write(t, "x.rcp", pairText)}, io.Discard, &errs,
		rcpsp.Solve); code != 1 || !strings.Contains(errs.String(), "interrupted") {
		t.Errorf("exit %d, %q", code, errs.String())
	}
}

// The instance comes through a pipe, so that the command is known to be at work when it is
// interrupted.
func TestAnInterruptOfTheProcessEndsALongSearch(t *testing.T) {
	t.Parallel()
	pipe := filepath.Join(t.TempDir(), "long.rcp")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), os.Args[0], "--heuristic", "--schedules",
		"1000000000000", pipe)
	cmd.Env = append(os.Environ(), "NETBENCH_AS_COMMAND=1")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(pipe, []byte(wide()), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); cmd.ProcessState.ExitCode() != 1 ||
		!strings.Contains(errs.String(), "interrupted") || out.Len() > 0 {
		t.Errorf("%v, stdout %q, stderr %q", err, out.String(), errs.String())
	}
}

// wide returns an instance that no bound of the heuristic settles: thirty tasks that need two units
// of three exclude each other, which takes half as long again as all work over all units.
func wide() string {
	var text strings.Builder
	text.WriteString("32 1\n3\n0 0 30")
	for i := range 30 {
		fmt.Fprint(&text, " ", i+2)
	}
	for range 30 {
		text.WriteString("\n2 2 1 32")
	}
	text.WriteString("\n0 0 0\n")
	return text.String()
}

func TestWhatNoPlanCanKeepIsNamed(t *testing.T) {
	t.Parallel()
	stdout, stderr, code := command(t, write(t, "broken.sch", brokenText),
		write(t, "huge.rcp", hugeText))
	for _, says := range []string{
		"contradictory links: 1 → 2 → 1 starts 1 ticks after itself",
		"activity 2 needs 2 of resource 1 for 3 ticks; it never has more than 1, or not for so long",
		"2 instances, 0 with a plan (0 optimal), 2 proved infeasible, 0 open",
	} {
		if !strings.Contains(stdout, says) {
			t.Errorf("%q is not in %q", says, stdout)
		}
	}
	if code != 0 || stderr != "" { // a result like any other
		t.Errorf("exit %d, %q", code, stderr)
	}
}

func TestInstancesAreNamedAsTheTableNamesThem(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	var files []string
	for _, set := range []string{"a", "b"} {
		if err := os.Mkdir(filepath.Join(folder, set), 0o700); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(folder, set, "pair.rcp")
		if err := os.WriteFile(file, []byte(pairText), 0o600); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	flat := write(t, "flat.csv", "instance,upper_bound\npair,7\n")
	sets := write(t, "sets.csv", "set,instance,upper_bound\na,pair,7\nb,pair,7\n")
	for _, tc := range []struct {
		args, want []string
	}{
		{files[:1], []string{"pair"}},
		{files, []string{"a/pair", "b/pair"}},
		{[]string{files[0], files[0]}, []string{"a/pair", "a/pair"}}, // named twice, planned twice
		{append([]string{"--best", flat}, files...), []string{"pair", "pair"}},
		{append([]string{"--best", sets}, files[:1]...), []string{"a/pair"}},
	} {
		var out bytes.Buffer
		if code := status(t.Context(), append([]string{"--schedules", "9"}, tc.args...), &out,
			io.Discard, rcpsp.Solve); code != 0 {
			t.Errorf("%v: exit %d", tc.args, code)
		}
		var got []string
		for line := range strings.Lines(out.String()) {
			if name, _, _ := strings.Cut(line, " "); !strings.Contains(line, "instances") {
				got = append(got, name)
			}
		}
		if !slices.Equal(got, tc.want) {
			t.Errorf("%v: got %v, want %v", tc.args, got, tc.want)
		}
	}
}

func TestTheSummaryCountsWhatIsOptimalInfeasibleAndOpen(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	r := newReport(&out, false)
	r.summary([]row{
		{Makespan: 9, Best: 8, CPM: 6, Feasible: true, Schedules: 30},
		{Makespan: 7, Best: 7, CPM: 7, Feasible: true, Proven: true, Schedules: 20},
		{Proven: true, infeasible: true},
		{},
	}, true, time.Second)
	want := "4 instances, 2 with a plan (1 optimal), 1 proved infeasible, 1 open; " +
		"6.250 % over best of 2 (1 equal or better), 25.000 % over critical path; " +
		"50 schedules per second\n"
	if out.String() != want {
		t.Errorf("got  %swant %s", out.String(), want)
	}
}

func TestNeitherAPipeNorABufferIsTakenForATerminal(t *testing.T) {
	t.Parallel()
	read, written, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	if isTerminal(written) || isTerminal(&bytes.Buffer{}) {
		t.Error("a pipe or a buffer was taken for a terminal")
	}
	if err := errors.Join(written.Close(), read.Close()); err != nil {
		t.Fatal(err)
	}
}

func TestProgressCountsOnOneLine(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	tick := counter(&out, 2)
	tick()
	tick()
	if got, want := out.String(), "planned 1 of 2\rplanned 2 of 2\n"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
