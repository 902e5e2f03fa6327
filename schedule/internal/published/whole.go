package published

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"bentside/schedule/netfile"
)

// folder is where the whole sets are looked for, from the root of the module.
const folder = "../shared/data/psplib"

// whole returns all instances of a set; nil where they don't lie beside the module.
func whole(t testing.TB, name string) []Instance {
	t.Helper()
	file := open(t, name+".tar.gz")
	if file == nil {
		return nil
	}
	found, err := netfile.Read(name+".tar.gz", file)
	if err != nil {
		t.Fatal(err)
	}
	results, schedules := name+"_best.csv", map[string]row{}
	switch name {
	case "multiproject":
		results = "multiproject_reference.csv"
	case "j120":
		schedules = table(t, "j120_best_schedules.csv")
	}
	best := table(t, results)
	list := make([]Instance, len(found))
	for k, x := range found {
		key := x.Problem.Name
		if name == "rcpspmax" {
			key = x.Folder + "/" + key
		}
		known, ok := best[key]
		if !ok {
			t.Fatalf("no row for %s in the table of %s", key, name)
		}
		list[k] = Instance{
			Name: key, Problem: x.Problem, Infeasible: known["status"] == "infeasible",
			Bound:        known.number(t, "lower_bound", "optimum", "simple_lower_bound"),
			Best:         known.number(t, "upper_bound", "optimum", "reference_makespan"),
			CriticalPath: known.number(t, "cpm_lower_bound", "temporal_lower_bound"),
		}
		if schedule, ok := schedules[key]; ok {
			list[k].Makespan = schedule.number(t, "makespan")
			starts := strings.Fields(schedule["start_times_jobs_1_to_n_space_separated"])
			if list[k].Starts, err = numbers(starts); err != nil {
				t.Fatalf("%s: %v", key, err)
			}
		}
	}
	return list
}

// row is a line of a table, by column.
type row map[string]string

// number reads the first of some columns that the row has; 0 where it is empty.
func (r row) number(t testing.TB, columns ...string) int {
	t.Helper()
	for _, column := range columns {
		text, ok := r[column]
		if !ok {
			continue
		}
		if text == "" {
			return 0
		}
		v, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	t.Fatalf("the table must have one of the columns %v", columns)
	return 0
}

// table reads a table: rows by instance, or by set/instance where there are several sets.
func table(t testing.TB, name string) map[string]row {
	t.Helper()
	file := open(t, name)
	if file == nil {
		t.Fatalf("%s/%s must lie beside its instances", folder, name)
	}
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string]row{}
	for _, record := range records[1:] {
		r := row{}
		for k, title := range records[0] {
			r[title] = record[k]
		}
		key := r["instance"]
		if set := r["set"]; set != "" {
			key = set + "/" + key
		}
		rows[key] = r
	}
	return rows
}

// deepest is how far below the root of the module a test may be.
const deepest = 8

// open finds a file beside the module from wherever below its root the test runs; nil where there
// is none.
func open(t testing.TB, name string) *os.File {
	t.Helper()
	root := "."
	for range deepest {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		root = filepath.Join(root, "..")
	}
	//nolint:gosec // named by a test
	file, err := os.Open(filepath.Join(root, filepath.FromSlash(folder), name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := file.Close(); err != nil {
			t.Error(err)
		}
	})
	return file
}
