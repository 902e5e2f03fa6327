package netfile_test

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"io"
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
		Links: append([]rcpsp.Link{
			{From: 0, To: 1}, {From: 0, To: 2}, {From: 1, To: 3, Lag: 3}, {From: 2, To: 3, Lag: 4},
		}, extra...),
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
		{"x.sm", "", "a line must give the number of jobs", 0},
		{"x.sm", edit(smText, ":  4", ":  4000000"), "not 4000000", 1},
		{"x.sm", edit(smText, ":  4", ":  many"), `"many" isn't a whole number of 32 bits`, 1},
		{"x.sm", edit(smText, ":  4", ":  5"), "isn't a whole number of 32 bits", 8},
		{"x.sm", edit(smText, "   2        1 ", "   2        3 "), "job 2 has 3 modes", 5},
		{
			"x.sm", edit(smText, "2           2   3", "3           2   3"),
			"announces 3 successors and lists 2", 4,
		},
		{
			"x.sm", edit(smText, "1           4\n", "1           9\n"),
			"successors of job 2 must be from 1 to 4, not 9", 19,
		},
		{"x.sm", edit(smText, "    2    5\n", ""), "file ends", 18},
		{"x.sm", smText[:strings.Index(smText, "REQUESTS")], "requests of 0 of 4 jobs", 8},
		{
			"x.sm", edit(smText, "3       2", "99999999999       2"),
			`"99999999999" isn't a whole number of 32 bits`, 13,
		},
		{"x.sm", edit(smText, "3       2", "-3      2"), "job 2 must not be negative: -3", 13},
		{"x.sm", edit(smText, "    2    5\n", "    2   -5\n"), "must not be negative: -5", 19},
		{
			"x.sm", edit(smText, "2    5", strings.Repeat("5 ", rcpsp.MaxResources+1)),
			"not 1025", 19,
		},
		{
			"x.sm", edit(smText, "PREC", "  - nonrenewable   :  2   N\nPREC"),
			"nonrenewable resources are not read", 2,
		},
		{
			"x.sm", edit(smText, "PREC", "  - doubly constrained  :\nPREC"),
			"doubly constrained resources are not read", 2,
		},
		{"x.rcp", "4 -2\n", "not -2", 1},
		{"x.rcp", "4 2\n2 5\n0 0 0 9", "at most 4 successors, not 9", 3},
		{"x.rcp", "4 2\n2 5\n0 0 0 -1", "a count must not be negative", 3},
		{"x.rcp", rcpText[:20], "file ends", 3},
		{"x.rcp", edit(rcpText, "4 2", "3 2"), "successors of job 2 must be from 1 to 3, not 4", 4},
		{"x.rcp", rcpText + "1", `"1" follows the last`, 7},
		{"x.rcp", edit(rcpText, "0 0 0 0", "0 0 0 0 1"), "more numbers than announced", 6},
		{"x.rcp", edit(rcpText, "3 2 0 1 4", "3 -2 0 1 4"), "job 2 must not be negative: -2", 4},
		{"x.sch", schText + schText, `"2 2 0 0" follows the last`, 11},
		{"x.sch", edit(schText, "1 1 3 2 0", "1 1 -3 2 0"), "job 1 must not be negative: -3", 7},
		{"x.sch", "2147483647 2 0 0", "not 2147483649", 1},
		{"x.sch", edit(schText, "[3]", ""), "successors of job 1 must follow, with a lag each", 3},
		{
			"x.sch", edit(schText, "1 1 3 2 0", "1 1 3 2"),
			"row of job 1 with its duration and 2 demands", 7,
		},
		{"x.sch", edit(schText, "\n2 5\n", "\n2\n"), "must be 2 capacities, not 1", 10},
	} {
		_, err := netfile.Parse(tc.file, []byte(tc.text))
		var format *netfile.FormatError
		if !errors.As(err, &format) {
			t.Errorf("%s: got %v, want a format error saying %q", tc.file, err, tc.reason)
			continue
		}
		if format.File != tc.file || format.Line != tc.line ||
			!strings.Contains(format.Reason, tc.reason) {
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

func archive(t testing.TB, names ...string) []byte {
	t.Helper()
	texts := map[string]string{
		"sm": smText, "rcp": rcpText, "sch": schText, "txt": "read me", "bad.sm": "jobs : x",
	}
	var buf bytes.Buffer
	zip := gzip.NewWriter(&buf)
	out := tar.NewWriter(zip)
	for _, name := range names {
		_, ending, _ := strings.Cut(name, ".")
		text := texts[ending]
		if err := out.WriteHeader(&tar.Header{
			Name: name, Mode: 0o600, Size: int64(len(text)),
		}); err != nil {
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
	got, err := netfile.Read("set.tar.gz",
		bytes.NewReader(archive(t, "all/b/x.sch", "all/a/x.sm", "all/notes.txt")))
	want := []netfile.Instance{
		{Folder: "b", Problem: diamond(0, rcpsp.Link{From: 2, To: 1, Lag: -6})},
		{Folder: "a", Problem: diamond(1)},
	}
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
}

func TestABrokenArchiveIsRefusedByName(t *testing.T) {
	t.Parallel()
	whole := archive(t, "a/x.sm")
	for name, tc := range map[string]struct {
		data []byte
		says string
	}{
		"truncated":   {whole[:len(whole)/2], "unexpected EOF"},
		"no gzip":     {[]byte(smText), "invalid header"},
		"no instance": {archive(t, "notes.txt"), "the archive must have an instance"},
		"bad member": {
			archive(t, "a/x.sm", "a/y.bad.sm"), `a/y.bad.sm:1: "x" isn't a whole number of 32 bits`,
		},
		"empty": {nil, "EOF"},
	} {
		got, err := netfile.Read("set.tgz", bytes.NewReader(tc.data))
		if err == nil || !strings.Contains(err.Error(), "set.tgz") ||
			!strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: got %+v and %v, want an error that names set.tgz and says %q", name, got,
				err, tc.says)
		}
	}
}

// Only the checksum at the end of the archive can tell when one digit became another.
func TestNoFlippedBitOfAnArchiveChangesWhatIsRead(t *testing.T) {
	t.Parallel()
	whole := archive(t, "a/x.sm", "b/x.sch")
	want, err := netfile.Read("set.tgz", bytes.NewReader(whole))
	if err != nil {
		t.Fatal(err)
	}
	refused := 0
	for bit := range 8 * len(whole) {
		whole[bit/8] ^= 1 << (bit % 8)
		if got, err := netfile.Read("set.tgz", bytes.NewReader(whole)); err != nil {
			refused++
		} else if !reflect.DeepEqual(got, want) {
			t.Errorf("bit %d: read %+v", bit, got)
		}
		whole[bit/8] ^= 1 << (bit % 8)
	}
	if refused < 4*len(whole) {
		t.Errorf("%d flipped bits of %d were refused", refused, 8*len(whole))
	}
}

func TestAnOversizedFileIsRefusedBeforeItIsParsed(t *testing.T) {
	t.Parallel()
	var bomb bytes.Buffer
	zip := gzip.NewWriter(&bomb)
	out := tar.NewWriter(zip)
	for range 1 + netfile.MaxArchiveBytes/netfile.MaxFileBytes {
		err := out.WriteHeader(&tar.Header{
			Name: "a/notes.txt", Mode: 0o600, Size: netfile.MaxFileBytes,
		})
		_, copyErr := io.Copy(out, bytes.NewReader(make([]byte, netfile.MaxFileBytes)))
		if err := errors.Join(err, copyErr); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(out.Close(), zip.Close()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, reason string
		data         []byte
	}{
		{"x.rcp", "must not be larger than 16777216 bytes", make([]byte, netfile.MaxFileBytes+1)},
		{"x.tgz", "must not be larger than 67108864 bytes", bomb.Bytes()},
	} {
		_, err := netfile.Read(c.name, bytes.NewReader(c.data))
		var format *netfile.FormatError
		if !errors.As(err, &format) ||
			*format != (netfile.FormatError{File: c.name, Reason: c.reason}) {
			t.Errorf("%s: got %v, want %s", c.name, err, c.reason)
		}
	}
	full := append([]byte(rcpText), make([]byte, netfile.MaxFileBytes-len(rcpText))...)
	_, err := netfile.Read("x.rcp", bytes.NewReader(full))
	var format *netfile.FormatError
	if !errors.As(err, &format) || format.Line != 7 {
		t.Errorf("got %v, want a file of the greatest size read up to what follows its numbers", err)
	}
}
