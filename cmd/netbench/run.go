package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"time"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
	"bentside/schedule/verify"
)

type config struct {
	options rcpsp.Options
	workers int
	best    string
	asJSON  bool
	files   []string
}

func parseFlags(args []string, stderr io.Writer) (*config, error) {
	c := &config{}
	fs := flag.NewFlagSet("netbench", flag.ContinueOnError)
	fs.SetOutput(stderr)
	fs.BoolVar(&c.options.Heuristic, "heuristic", false, "no exact search and no proofs")
	fs.IntVar(&c.options.Schedules, "schedules", 5000, "budget per instance: start assignments ÷ activities")
	fs.Uint64Var(&c.options.Seed, "seed", 1, "seed of all random choices")
	fs.IntVar(&c.workers, "workers", runtime.NumCPU(), "goroutines; results do not depend on it")
	fs.StringVar(&c.best, "best", "", "table of best known makespans to compare with")
	fs.BoolVar(&c.asJSON, "json", false, "one object per instance and a summary")
	if err := fs.Parse(args); err != nil {
		return nil, err
	}
	c.files = fs.Args()
	switch {
	case len(c.files) == 0:
		return nil, errors.New("no files given")
	case c.options.Schedules < 1:
		return nil, errors.New("--schedules must be at least 1")
	case c.workers < 1:
		return nil, errors.New("--workers must be at least 1")
	}
	return c, nil
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	c, err := parseFlags(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return nil
	}
	if err != nil {
		return err
	}
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
	began := time.Now()
	rows, err := solveAll(ctx, c, instances, known, progress(stderr, len(instances)))
	if err != nil {
		return err
	}
	report := newReport(stdout, c.asJSON)
	for _, row := range rows {
		report.row(row)
	}
	report.summary(rows, time.Since(began))
	return report.err
}

func readFiles(names []string) ([]netfile.Instance, error) {
	var all []netfile.Instance
	for _, name := range names {
		f, err := os.Open(name)
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
		all = append(all, found...)
	}
	return all, nil
}

// solveAll plans instances side by side; with fewer instances than workers, the
// rest work inside each instance.
func solveAll(ctx context.Context, c *config, instances []netfile.Instance, known bestTable, tick func()) ([]row, error) {
	rows := make([]row, len(instances))
	errs := make([]error, len(instances))
	outer := min(c.workers, len(instances))
	o := c.options
	o.Workers = max(1, c.workers/max(1, outer))
	queue := make(chan int)
	var group sync.WaitGroup
	for range outer {
		group.Go(func() {
			for k := range queue {
				rows[k], errs[k] = solveOne(ctx, o, instances[k], known)
				tick()
			}
		})
	}
	for k := range instances {
		queue <- k
	}
	close(queue)
	group.Wait()
	return rows, errors.Join(errs...)
}

func solveOne(ctx context.Context, o rcpsp.Options, in netfile.Instance, known bestTable) (row, error) {
	p := in.Problem
	r := row{Instance: p.Name}
	if in.Folder != "" && known.bySet() {
		r.Instance = in.Folder + "/" + p.Name
	}
	began := time.Now()
	res, err := rcpsp.Solve(ctx, p, o)
	r.Seconds = time.Since(began).Seconds()
	var cycle *rcpsp.CycleError
	var demand *rcpsp.DemandError
	if errors.As(err, &cycle) || errors.As(err, &demand) {
		r.Proven, r.infeasible = true, true
		return r, known.fill(&r, in)
	}
	if err != nil {
		return r, fmt.Errorf("%s: %w", r.Instance, err)
	}
	r.Schedules, r.Proven, r.Feasible = res.Schedules, res.Proven, res.Feasible
	r.LowerBound, r.CPM, r.infeasible = res.LowerBound, res.CriticalPath, res.Infeasible
	if res.Feasible {
		r.Makespan = res.Makespan
		if err := verify.Plan(p, res.Starts); err != nil {
			return r, fmt.Errorf("%s: plan refused: %w", r.Instance, err)
		}
		if m := p.Makespan(res.Starts); m != res.Makespan {
			return r, fmt.Errorf("%s: plan refused: it ends at %d, not at %d", r.Instance, m, res.Makespan)
		}
	}
	return r, known.fill(&r, in)
}

// progress shows a counter on a terminal and nothing elsewhere.
func progress(stderr io.Writer, total int) func() {
	f, ok := stderr.(*os.File)
	if !ok {
		return func() {}
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return func() {}
	}
	var lock sync.Mutex
	finished := 0
	return func() {
		lock.Lock()
		defer lock.Unlock()
		finished++
		end := "\r"
		if finished == total {
			end = "\n"
		}
		fmt.Fprint(stderr, strings.Join([]string{"planned", strconv.Itoa(finished), "of", strconv.Itoa(total)}, " "), end)
	}
}
