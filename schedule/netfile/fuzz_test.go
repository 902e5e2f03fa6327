package netfile_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"runtime"
	"testing"

	"bentside/schedule/netfile"
	"bentside/schedule/rcpsp"
	"bentside/schedule/rcpsp/verify"
)

// fuzz checks that any bytes give an error or a problem of their own size, and that planning such a
// problem gives an error or a plan that verifies.
func fuzz(f *testing.F, name, text string) {
	f.Helper()
	f.Add([]byte(text))
	for cut := 1; cut < len(text); cut += 1 + len(text)/5 {
		f.Add([]byte(text[:cut]))
		f.Add([]byte(text[:cut] + "2147483647 -9 99999999999999999999 \x00\xff" + text[cut:]))
		f.Add([]byte(text[:cut] + "2097152" + text[cut:]))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := netfile.Parse(name, data)
		if err != nil {
			return
		}
		if cells := len(p.Activities) + len(p.Links) + len(p.Capacities); cells > len(data) {
			t.Fatalf("%d bytes became %d activities, links and capacities", len(data), cells)
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		res, err := rcpsp.Solve(context.Background(), p, rcpsp.Options{Schedules: 3, Seed: 1})
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; took > 1<<30 {
			t.Fatalf("planning %d bytes of input took %d MiB", len(data), took>>20)
		}
		if err != nil || !res.Feasible {
			return
		}
		if err := verify.Plan(p, res.Starts); err != nil {
			t.Fatal(err)
		}
	})
}

// FuzzReadArchive checks that any members give an error or problems of their own size. The bytes
// are zipped here: no mutation would survive a checksum.
func FuzzReadArchive(f *testing.F) {
	for _, names := range [][]string{{"a/x.sm"}, {"a/x.sm", "b/x.sch", "c/x.rcp", "notes.txt"}} {
		text := unzip(f, archive(f, names...))
		f.Add(text)
		f.Add(text[:700])
		f.Add(bytes.ReplaceAll(text, []byte("0000"), []byte("7777")))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var buf bytes.Buffer
		zip := gzip.NewWriter(&buf)
		if _, err := zip.Write(data); err != nil {
			t.Fatal(err)
		}
		if err := zip.Close(); err != nil {
			t.Fatal(err)
		}
		instances, err := netfile.Read("x.tar.gz", &buf)
		if err != nil {
			return
		}
		cells := 0
		for _, in := range instances {
			cells += len(in.Problem.Activities) + len(in.Problem.Links) + len(in.Problem.Capacities)
		}
		if len(instances) == 0 || cells > len(data) {
			t.Fatalf("%d bytes became %d instances with %d activities, links and capacities",
				len(data), len(instances), cells)
		}
	})
}

func unzip(tb testing.TB, data []byte) []byte {
	tb.Helper()
	r, err := gzip.NewReader(bytes.NewReader(data))
	if err != nil {
		tb.Fatal(err)
	}
	text, err := io.ReadAll(r)
	if err != nil {
		tb.Fatal(err)
	}
	return text
}

func FuzzParseSingleMode(f *testing.F)  { fuzz(f, "x.sm", smText) }
func FuzzParsePatterson(f *testing.F)   { fuzz(f, "x.rcp", rcpText) }
func FuzzParseMaximumLags(f *testing.F) { fuzz(f, "x.sch", schText) }
