package netfile_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
)

// Line breaks have no meaning in an .rcp file, wherever they fall in a row.
func TestRowsMayBreakAnywhere(t *testing.T) {
	t.Parallel()
	numbers := strings.Fields(rcpText)
	for width := 1; width <= len(numbers); width++ {
		var text strings.Builder
		for row := range slices.Chunk(numbers, width) {
			text.WriteString(strings.Join(row, " ") + "\n")
		}
		got, err := netfile.Parse("x.rcp", []byte(text.String()))
		if err != nil || !reflect.DeepEqual(got, diamond(1)) {
			t.Errorf("%d numbers a line: %+v, %v", width, got, err)
		}
	}
}

// The smallest and the largest of what the counts may announce.
func TestTheCountsReachFromNothingToTheLimits(t *testing.T) {
	t.Parallel()
	most := rcpsp.MaxActivities
	units := func(resources int) string {
		return strings.Replace(smText, "    2    5\n", strings.Repeat("5 ", resources)+"\n", 1)
	}
	demands := func(resources int) string {
		return strings.Replace(smText, "3       2    0", "3 "+strings.Repeat("1 ", resources), 1)
	}
	edit := func(text, old, with string) string { return strings.Replace(text, old, with, 1) }
	for _, c := range []struct{ name, file, text, reason string }{
		{"one job without resources", "x.rcp", "1 0\n0 0\n", ""},
		{"no job", "x.rcp", "0 0\n", "the number of jobs must be from 1 to "},
		{"the most jobs", "x.rcp", fmt.Sprintf("%d 0\n", most), "file ends where numbers must follow"},
		{"a job more", "x.rcp", fmt.Sprintf("%d 0\n", most+1), fmt.Sprintf("not %d", most+1)},
		{"the most resources", "x.sm", units(rcpsp.MaxResources), ""},
		{"a resource more", "x.sm", units(rcpsp.MaxResources + 1), "not 1025"},
		{"the most demands", "x.sm", demands(rcpsp.MaxResources), ""},
		{"a demand more", "x.sm", demands(rcpsp.MaxResources + 1), "not 1025"},
		{"a resource without units", "x.rcp", edit(rcpText, "2 5", "2 0"), ""},
		{"every job a successor", "x.rcp", "2 0\n0 2 1 2\n0 0\n", ""},
		{"too many successors", "x.rcp", "4 2\n2 5\n0 0 0 5", "job 1 must have at most 4 successors, not 5"},
		{"a successor below the first", "x.rcp", edit(rcpText, "2 2 3", "2 0 3"), "from 1 to 4, not 0"},
		{"the first as a successor", "x.sm", edit(smText, "1           4\n", "1           1\n"), ""},
		{
			"a successor before it", "x.sm", edit(smText, "1           4\n", "1           0\n"),
			"from 1 to 4, not 0",
		},
		{"a head of two numbers", "x.sch", edit(schText, "2 2 0 0", "2 2"), ""},
		{"a head of one", "x.sch", edit(schText, "2 2 0 0", "2"), "must give the numbers of jobs and resources"},
		{"a maximum lag to the start", "x.sch", edit(schText, "3 1 [4] [-6]", "3 0 [4] [-9]"), ""},
		{
			"a successor after the sink", "x.sch", edit(schText, "1 3 [3]", "1 4 [3]"),
			"from 0 to 3, not 4",
		},
		{
			"a successor before the source", "x.sch", edit(schText, "1 3 [3]", "1 -1 [3]"),
			"from 0 to 3, not -1",
		},
		{
			"lags to every job", "x.sch",
			edit(schText, "0 1 2 1 2 [0] [0]", "0 1 4 0 1 2 3 [0] [0] [0] [0]"), "",
		},
		{
			"twenty letters", "x.rcp", strings.Repeat("x", 20),
			`"xxxxxxxxxxxxxxxxxxxx" isn't a whole number`,
		},
		{
			"twenty-one", "x.rcp", strings.Repeat("x", 21),
			`"xxxxxxxxxxxxxxxxxxxx…" isn't a whole number`,
		},
	} {
		_, err := netfile.Parse(c.file, []byte(c.text))
		if c.reason == "" && err != nil ||
			c.reason != "" && (err == nil || !strings.Contains(err.Error(), c.reason)) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.reason)
		}
	}
}

// An archive of empty notes is small and would keep a reader busy for ever.
func TestAnArchiveOfTooManyFilesIsRefused(t *testing.T) {
	t.Parallel()
	var members bytes.Buffer
	out := tar.NewWriter(&members)
	if err := out.WriteHeader(&tar.Header{Name: "a/n.txt", Mode: 0o600}); err != nil {
		t.Fatal(err)
	}
	note := bytes.Clone(members.Bytes())
	members.Reset()
	out = tar.NewWriter(&members)
	err := out.WriteHeader(&tar.Header{Name: "a/x.rcp", Mode: 0o600, Size: int64(len(rcpText))})
	_, writeErr := out.Write([]byte(rcpText))
	if err := errors.Join(err, writeErr, out.Flush()); err != nil {
		t.Fatal(err)
	}
	for _, more := range []int{0, 1} {
		var zipped bytes.Buffer
		zip, err := gzip.NewWriterLevel(&zipped, gzip.BestSpeed)
		if err != nil {
			t.Fatal(err)
		}
		_, err = zip.Write(members.Bytes())
		_, notesErr := zip.Write(bytes.Repeat(note, netfile.MaxFiles-1+more))
		_, endErr := zip.Write(make([]byte, 1024))
		if err := errors.Join(err, notesErr, endErr, zip.Close()); err != nil {
			t.Fatal(err)
		}
		_, err = netfile.Read("x.tgz", &zipped)
		if more == 0 && err != nil ||
			more > 0 && (err == nil || !strings.Contains(err.Error(), "more than 100000 files")) {
			t.Errorf("%d files more than are read: %v", more, err)
		}
	}
}
