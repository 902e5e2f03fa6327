package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

type config struct {
	options rcpsp.Options
	workers int
	best    string
	asJSON  bool
	files   []string
	solve   planner
}

// planner is rcpsp.Solve, or in tests a faulty one.
type planner func(context.Context, *rcpsp.Problem, rcpsp.Options) (*rcpsp.Result, error)

func parseFlags(args []string, stderr io.Writer) (*config, error) {
	c := &config{}
	fs := flag.NewFlagSet("netbench", flag.ContinueOnError)
	fs.SetOutput(stderr)
	fs.BoolVar(&c.options.Heuristic, "heuristic", false, "no exact search and no proofs")
	fs.IntVar(&c.options.Schedules, "schedules", 5000,
		"budget per instance, proofs included: start assignments ÷ activities, rounded up")
	fs.Uint64Var(&c.options.Seed, "seed", 1, "seed of all random choices")
	fs.IntVar(&c.workers, "workers", runtime.NumCPU(),
		"cores: instances side by side, then searches within one; results do not depend on it")
	fs.StringVar(&c.best, "best", "", "table of best known makespans to compare with")
	fs.BoolVar(&c.asJSON, "json", false, "one object per instance and a summary")
	if err := fs.Parse(args); err != nil {
		return nil, err
	}
	c.files = fs.Args()
	switch {
	case len(c.files) == 0:
		return nil, errors.New("at least one file must be given")
	case c.options.Schedules < 1:
		return nil, errors.New("--schedules must be at least 1")
	case c.workers < 1:
		return nil, errors.New("--workers must be at least 1")
	}
	return c, nil
}

// run schedules all instances and reports them in the order given. Instances that can't be
// scheduled or verified are reported without a plan and make up the error.
func run(ctx context.Context, args []string, stdout, stderr io.Writer, solve planner) error {
	c, err := parseFlags(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
	c.solve = solve
	known := bestTable{}
	if c.best != "" {
		if known, err = readBest(c.best); err != nil {
			return err
		}
	}
	instances, err := readFiles(c.files)
	if err != nil {
		return err
	}
	names := labels(instances, known)
	if err := known.covers(names); err != nil {
		return err
	}
	c.options.Workers = max(1, c.workers/max(1, len(instances)))
	began := time.Now()
	tick := func() {}
	if isTerminal(stderr) {
		tick = counter(stderr, len(instances))
	}
	rows, failed := solveAll(ctx, c, instances, names, known, tick)
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("interrupted: %w", err)
	}
	report := newReport(stdout, c.asJSON)
	for _, row := range rows {
		report.row(row)
	}
	report.summary(rows, c.best != "", time.Since(began))
	return errors.Join(report.err, failed)
}

func readFiles(names []string) ([]netfile.Instance, error) {
	var all []netfile.Instance
	for _, name := range names {
		f, err := os.Open(name) //nolint:gosec // the file that the user names
		if err != nil {
			return nil, err
		}
		found, err := netfile.Read(name, f)
		if closeErr := f.Close(); err == nil {
			err = closeErr
		}
		if err != nil {
			return nil, err
		}
		for k := range found {
			if found[k].Folder == "" { // a single file is in a folder too
				found[k].Folder = filepath.Base(filepath.Dir(name))
			}
		}
		all = append(all, found...)
	}
	return all, nil
}

// labels names the instances as the table does: by themselves, or with their folder if the table
// has sets. Without a table the folder distinguishes instances of one name.
func labels(instances []netfile.Instance, known bestTable) []string {
	count := map[string]int{}
	for _, in := range instances {
		count[in.Problem.Name]++
	}
	var names []string
	for _, in := range instances {
		name := in.Problem.Name
		if known.sets || known.rows == nil && count[name] > 1 {
			name = in.Folder + "/" + name
		}
		names = append(names, name)
	}
	return names
}

// solveAll schedules several instances at once; each keeps its position in the result.
func solveAll(
	ctx context.Context, c *config, instances []netfile.Instance, names []string, known bestTable,
	tick func(),
) ([]row, error) {
	rows := make([]row, len(instances))
	errs := make([]error, len(instances))
	queue := make(chan int)
	var group sync.WaitGroup
	for range min(c.workers, len(instances)) {
		group.Go(func() {
			for k := range queue {
				rows[k], errs[k] = c.plan(ctx, instances[k].Problem, names[k], known)
				tick()
			}
		})
	}
	for k := range instances {
		if ctx.Err() != nil {
			break
		}
		queue <- k
	}
	close(queue)
	group.Wait()
	return rows, errors.Join(errs...)
}

// plan schedules, verifies and compares one instance.
func (c *config) plan(
	ctx context.Context, p *rcpsp.Problem, name string, known bestTable,
) (row, error) {
	r := row{Instance: name}
	began := time.Now()
	res, err := c.solve(ctx, p, c.options)
	r.Seconds = time.Since(began).Seconds()
	var cycle *rcpsp.CycleError
	var demand *rcpsp.DemandError
	if errors.As(err, &cycle) || errors.As(err, &demand) {
		r.Proven, r.infeasible, r.reason = true, true, err.Error()
		return r, known.compare(&r)
	}
	if err != nil {
		return r, fmt.Errorf("%s: %w", r.Instance, err)
	}
	r.Schedules, r.LowerBound, r.CPM = res.Schedules, res.LowerBound, res.CriticalPath
	if res.Feasible {
		if err := verify.Plan(p, res.Starts); err != nil {
			return r, fmt.Errorf("%s: plan refused: %w", r.Instance, err)
		}
		if m := p.Makespan(res.Starts); m != res.Makespan {
			return r,
				fmt.Errorf("%s: plan refused: it ends at %d, not at %d", r.Instance, m,
					res.Makespan)
		}
	}
	r.Makespan, r.Proven, r.Feasible, r.infeasible = res.Makespan, res.Proven, res.Feasible,
		res.Infeasible
	return r, known.compare(&r)
}
