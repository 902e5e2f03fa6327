// Package published opens, for tests, the benchmark instances that lie beside the
// module in ../shared/data/psplib, with the tables of what is known about them.
// Sources: Kolisch and Sprecher, European Journal of Operational Research 96
// (1997) 205–216; Patterson, Management Science 30 (1984); Schwindt and others
// (maximum lags); all as the README there describes them.
//
//	best := published.Table(t, "j30_best.csv")
//	for _, in := range published.Instances(t, "j30.tar.gz") {
//		optimum := published.Number(t, best[in.Problem.Name]["upper_bound"])
//	}
//
// A test that needs a file which isn't there is skipped, and says which.
package published

import (
	"encoding/csv"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"bentside/schedule/netfile"
)

// Instances reads a file of instances.
func Instances(t testing.TB, file string) []netfile.Instance {
	t.Helper()
	in, err := netfile.Read(file, open(t, file))
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// Table reads a table: rows by set/instance, or by instance where there is one
// set, each by column.
func Table(t testing.TB, file string) map[string]map[string]string {
	t.Helper()
	records, err := csv.NewReader(open(t, file)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]map[string]string{}
	for _, rec := range records[1:] {
		row := map[string]string{}
		for k, title := range records[0] {
			row[title] = rec[k]
		}
		key := row["instance"]
		if set := row["set"]; set != "" {
			key = set + "/" + key
		}
		out[key] = row
	}
	return out
}

// Number reads a whole number from a table.
func Number(t testing.TB, text string) int {
	t.Helper()
	v, err := strconv.Atoi(text)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// deepest is how far below the module's root a test may be.
const deepest = 8

// open finds a file from wherever below the module's root the test runs.
func open(t testing.TB, file string) *os.File {
	t.Helper()
	root := "."
	for range deepest {
		if _, err := os.Stat(filepath.Join(root, "go.mod")); err == nil {
			break
		}
		root = filepath.Join(root, "..")
	}
	f, err := os.Open(filepath.Join(root, "..", "shared", "data", "psplib", file)) //nolint:gosec // named by a test
	if errors.Is(err, fs.ErrNotExist) {
		t.Skipf("not checked: ../shared/data/psplib/%s is not beside the module", file)
	}
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := f.Close(); err != nil {
			t.Error(err)
		}
	})
	return f
}
