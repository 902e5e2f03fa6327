package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
)

// known is what a table states about one instance.
type known struct {
	best       int
	lower      int // no plan is shorter; 0 if unknown
	cpm        int
	infeasible bool
}

// bestTable maps "instance", or "set/instance" if the table has sets, to its best known makespan.
// It is only compared with, never given to the solver.
type bestTable struct {
	name string
	rows map[string]known
	sets bool
}

// readBest reads a table whose header names an instance column and one of upper_bound, optimum or
// reference_makespan.
func readBest(name string) (bestTable, error) {
	f, err := os.Open(name) //nolint:gosec // the file that the user names
	if err != nil {
		return bestTable{}, err
	}
	records, err := csv.NewReader(f).ReadAll()
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return bestTable{}, fmt.Errorf("read %s: %w", name, err)
	}
	if len(records) == 0 {
		return bestTable{}, fmt.Errorf("read %s: the table is empty", name)
	}
	column := func(names ...string) int {
		return slices.IndexFunc(records[0], func(h string) bool {
			return slices.Contains(names, h)
		})
	}
	instance, best := column("instance"), column("upper_bound", "optimum", "reference_makespan")
	set, status, cpm := column("set"), column("status"),
		column("cpm_lower_bound", "temporal_lower_bound")
	lower := column("lower_bound", "optimum")
	if instance < 0 || best < 0 {
		return bestTable{}, fmt.Errorf("read %s: there must be a column instance, and one of "+
			"upper_bound, optimum and reference_makespan", name)
	}
	t := bestTable{name: name, rows: map[string]known{}, sets: set >= 0}
	for _, rec := range records[1:] {
		var k known
		for _, x := range []struct {
			column int
			value  *int
		}{{best, &k.best}, {lower, &k.lower}, {cpm, &k.cpm}} {
			if x.column < 0 || rec[x.column] == "" {
				continue
			}
			if *x.value, err = strconv.Atoi(rec[x.column]); err != nil {
				return bestTable{}, fmt.Errorf("read %s: %w", name, err)
			}
		}
		key := rec[instance]
		if set >= 0 {
			key = rec[set] + "/" + key
		}
		k.infeasible = status >= 0 && rec[status] == "infeasible"
		t.rows[key] = k
	}
	return t, nil
}

// covers returns an error if the table names none of the instances: it belongs to another set.
func (t bestTable) covers(names []string) error {
	if t.rows == nil {
		return nil
	}
	for _, name := range names {
		if _, ok := t.rows[name]; ok {
			return nil
		}
	}
	return fmt.Errorf("%s names none of the instances", t.name)
}

// errContradiction reports a result that the table shows to be wrong.
var errContradiction = errors.New("contradicts the table of best known results")

// compare adds the table's value to the row. A result that can't be true given the table counts as
// failed verification.
func (t bestTable) compare(r *row) error {
	k, ok := t.rows[r.Instance]
	if !ok {
		return nil
	}
	r.Best = k.best
	switch {
	case k.infeasible && r.Feasible:
		return fmt.Errorf("%s: an infeasible instance has a verified plan: %w", r.Instance,
			errContradiction)
	case k.best > 0 && r.infeasible:
		return fmt.Errorf("%s: the result is infeasible: %w", r.Instance, errContradiction)
	case k.cpm > 0 && !r.infeasible && r.CPM != k.cpm:
		return fmt.Errorf("%s: the critical path is %d, in the table %d: %w", r.Instance, r.CPM, k.cpm,
			errContradiction)
	case k.lower > 0 && r.Feasible && r.Makespan < k.lower:
		return fmt.Errorf("%s: the plan ends at %d, and at least %d is needed: %w", r.Instance,
			r.Makespan,
			k.lower, errContradiction)
	case k.best > 0 && r.LowerBound > k.best:
		return fmt.Errorf("%s: the lower bound %d is above %d: %w", r.Instance, r.LowerBound, k.best,
			errContradiction)
	}
	return nil
}
