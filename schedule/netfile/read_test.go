package netfile_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"reflect"
	"strings"
	"testing"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
)

const (
	smText = `jobs (incl. supersource/sink ):  4
PRECEDENCE RELATIONS:
jobnr.    #modes  #successors   successors
   1        1          2           2   3
   2        1          1           4
   3        1          1           4
   4        1          0
****
REQUESTS/DURATIONS:
jobnr. mode duration  R 1  R 2
------------------------------
  1      1     0       0    0
  2      1     3       2    0
  3      1     4       1    5
  4      1     0       0    0
****
RESOURCEAVAILABILITIES:
  R 1  R 2
    2    5
`
	rcpText = "4 2\n2 5\n0 0 0 2 2 3\n3 2 0 1 4\n4 1 5 1 4\n0 0 0 0\n"
	schText = `2 2 0 0
0 1 2 1 2 [0] [0]
1 1 1 3 [3]
2 1 2 3 1 [4] [-6]
3 1 0
0 1 0 0 0
1 1 3 2 0
2 1 4 1 5
3 1 0 0 0
2 5
`
)

func diamond(first int, extra ...rcpsp.Link) *rcpsp.Problem {
	names := []string{"0", "1", "2", "3", "4"}[first:]
	return &rcpsp.Problem{
		Name: "x",
		Activities: []rcpsp.Activity{
			{Name: names[0], Demand: []int{0, 0}},
			{Name: names[1], Duration: 3, Demand: []int{2, 0}},
			{Name: names[2], Duration: 4, Demand: []int{1, 5}},
			{Name: names[3], Demand: []int{0, 0}},
		},
		Links:      append([]rcpsp.Link{{From: 0, To: 1}, {From: 0, To: 2}, {From: 1, To: 3, Lag: 3}, {From: 2, To: 3, Lag: 4}}, extra...),
		Capacities: []rcpsp.Capacity{rcpsp.Constant(2), rcpsp.Constant(5)},
	}
}

func TestEveryFormatReadsIntoTheSameNetwork(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		file, text string
		want       *rcpsp.Problem
	}{
		{"x.sm", smText, diamond(1)},
		{"some/folder/x.sm", strings.ReplaceAll(smText, "\n", "\r\n"), diamond(1)},
		{"x.rcp", rcpText, diamond(1)},
		{"x.rcp", strings.ReplaceAll(rcpText, " ", "\n"), diamond(1)},
		{"x.sch", schText, diamond(0, rcpsp.Link{From: 2, To: 1, Lag: -6})},
	} {
		got, err := netfile.Parse(tc.file, []byte(tc.text))
		if err != nil {
			t.Errorf("%s: %v", tc.file, err)
		} else if !reflect.DeepEqual(got, tc.want) {
			t.Errorf("%s:\ngot  %+v\nwant %+v", tc.file, got, tc.want)
		}
	}
}

func TestAGarbledFileIsRefusedByLineAndReason(t *testing.T) {
	t.Parallel()
	edit := func(text, old, with string) string { return strings.Replace(text, old, with, 1) }
	for _, tc := range []struct {
		file, text, reason string
		line               int
	}{
		{"x.sm", "", "no line giving the number of jobs", 0},
		{"x.sm", edit(smText, ":  4", ":  4000000"), "4000000 jobs", 1},
		{"x.sm", edit(smText, ":  4", ":  many"), `"many" is not a number in range`, 1},
		{"x.sm", edit(smText, ":  4", ":  5"), "not a number in range", 8},
		{"x.sm", edit(smText, "   2        1 ", "   2        3 "), "job 2 has 3 modes", 5},
		{"x.sm", edit(smText, "2           2   3", "3           2   3"), "announces 3 successors and lists 2", 4},
		{"x.sm", edit(smText, "1           4\n", "1           9\n"), "job 2 has successor 9", 19},
		{"x.sm", edit(smText, "    2    5\n", ""), "file ends", 18},
		{"x.sm", smText[:strings.Index(smText, "REQUESTS")], "requests of 0 of 4 jobs", 8},
		{"x.sm", edit(smText, "3       2", "99999999999       2"), `"99999999999" is not a number in range`, 13},
		{"x.rcp", "4 -2\n", "-2 resources", 1},
		{"x.rcp", "4 2\n2 5\n0 0 0 9", "job 1 has 9 successors", 3},
		{"x.rcp", "4 2\n2 5\n0 0 0 -1", "a negative count", 3},
		{"x.rcp", rcpText[:20], "file ends", 3},
		{"x.sch", "2147483647 2 0 0", "2147483649 jobs", 1},
		{"x.sch", edit(schText, "[3]", ""), "successors of job 1 with one lag each", 3},
		{"x.sch", edit(schText, "1 1 3 2 0", "1 1 3 2"), "row of job 1 with duration and 2 demands", 7},
		{"x.sch", edit(schText, "\n2 5\n", "\n2\n"), "1 capacities for 2 resources", 10},
	} {
		_, err := netfile.Parse(tc.file, []byte(tc.text))
		var format *netfile.FormatError
		if !errors.As(err, &format) {
			t.Errorf("%s: got %v, want a format error saying %q", tc.file, err, tc.reason)
			continue
		}
		if format.File != "x" || format.Line != tc.line || !strings.Contains(format.Reason, tc.reason) {
			t.Errorf("%s: got %+v, want line %d and %q", tc.file, *format, tc.line, tc.reason)
		}
	}
}

func TestAnUnknownEndingIsNoInstance(t *testing.T) {
	t.Parallel()
	if _, err := netfile.Parse("x.mm", nil); !errors.Is(err, netfile.ErrUnknownFormat) {
		t.Errorf("got %v, want %v", err, netfile.ErrUnknownFormat)
	}
}

func archive(t *testing.T, names ...string) []byte {
	t.Helper()
	texts := map[string]string{"sm": smText, "rcp": rcpText, "sch": schText, "txt": "read me", "bad.sm": "jobs : x"}
	var buf bytes.Buffer
	zip := gzip.NewWriter(&buf)
	out := tar.NewWriter(zip)
	for _, name := range names {
		_, ending, _ := strings.Cut(name, ".")
		text := texts[ending]
		if err := out.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(text))}); err != nil {
			t.Fatal(err)
		}
		if _, err := out.Write([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(out.Close(), zip.Close()); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

func TestAnArchiveIsReadInItsOrderWithItsFolders(t *testing.T) {
	t.Parallel()
	got, err := netfile.Read("set.tar.gz", bytes.NewReader(archive(t, "all/b/x.sch", "all/a/x.sm", "all/notes.txt")))
	want := []netfile.Instance{
		{Folder: "b", Problem: diamond(0, rcpsp.Link{From: 2, To: 1, Lag: -6})},
		{Folder: "a", Problem: diamond(1)},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
}

func TestABrokenArchiveIsRefused(t *testing.T) {
	t.Parallel()
	whole := archive(t, "a/x.sm")
	for name, data := range map[string][]byte{
		"truncated":   whole[:len(whole)/2],
		"no gzip":     []byte(smText),
		"no instance": archive(t, "notes.txt"),
		"bad member":  archive(t, "a/x.sm", "a/y.bad.sm"),
		"empty":       nil,
	} {
		if got, err := netfile.Read("set.tgz", bytes.NewReader(data)); err == nil {
			t.Errorf("%s: read %+v without an error", name, got)
		}
	}
}

func TestAnOversizedFileIsRefusedBeforeItIsParsed(t *testing.T) {
	t.Parallel()
	_, err := netfile.Read("x.rcp", bytes.NewReader(make([]byte, netfile.MaxFileBytes+1)))
	var format *netfile.FormatError
	if !errors.As(err, &format) || format.Reason != "larger than any instance can be" {
		t.Errorf("got %v, want a refusal by size", err)
	}
}
