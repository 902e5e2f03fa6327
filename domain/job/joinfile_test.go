package job_test

import (
	"encoding/csv"
	"fmt"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/pricing/money"
)

// joinFile returns a file of rows, in the columns of the form; a row is its cells by name.
func joinFile(tb testing.TB, rows ...map[string]string) string {
	tb.Helper()
	header, err := csv.NewReader(strings.NewReader(string(job.JoinForm()))).Read()
	if err != nil {
		tb.Fatal(err)
	}
	var b strings.Builder
	w := csv.NewWriter(&b)
	all := [][]string{header}
	for _, row := range rows {
		cells := make([]string, len(header))
		for name, value := range row {
			at := slices.Index(header, name)
			if at < 0 {
				tb.Fatalf("%q isn't a column", name)
			}
			cells[at] = value
		}
		all = append(all, cells)
	}
	if err := w.WriteAll(all); err != nil {
		tb.Fatal(err)
	}
	return b.String()
}

func joiningPiano(ref string, changes ...string) map[string]string {
	row := map[string]string{
		"row": "piano", "ref": ref, "kind": "grand", "maker": "Aldermere", "size_mm": "1850",
		"notes": "88", "owner": "stock",
		"stock_number": "K-" +
			ref, "original_price": "2500.00", "cost_so_far": "1800", "depth": "recondition",
		"accepted_on": "2026-01-12",
	}
	return changed(row, changes)
}

func joiningTask(ref, operation, done, left string, changes ...string) map[string]string {
	return changed(
		map[string]string{
			"row": "task", "ref": ref, "operation": operation, "hours_done": done,
			"hours_left": left,
		},
		changes,
	)
}

// changed sets cells: "name", "value", …
func changed(row map[string]string, changes []string) map[string]string {
	for i := 0; i+1 < len(changes); i += 2 {
		row[changes[i]] = changes[i+1]
	}
	return row
}

// reported returns what is wrong with a file, as "line:column part of the detail".
func reported(tb testing.TB, file string, taken ...string) []domain.FieldFault {
	tb.Helper()
	read, unread := job.ReadJoin([]byte(file))
	read.Join.JoinedOn = domaintest.JobDay
	check := read.Join.Check(
		domaintest.Shipped(tb), money.MustCurrency("EUR"), domaintest.JobDay, taken,
	)
	f := domaintest.FaultOf(read.Report(unread, check))
	if f == nil {
		return nil
	}
	return f.Fields
}

func TestAFileOfPianosInPiecesIsRead(t *testing.T) {
	t.Parallel()
	file := joinFile(t, joiningPiano("A"), joiningTask("A", "DS-01", "6", "0"), joiningTask(
		"A", "AC-01", "2.5", "11",
	),
		joiningPiano(
			"B", "owner", "client", "client", "Odile Garriga", "deposit", "500.00", "promised_on",
			"2026-06-01",
		),
		joiningTask("B", "AC-01", "0", "12"))
	for name, text := range map[string]string{
		"plain": file, "with a byte order mark": "\ufeff" +
			file, "with empty rows": strings.ReplaceAll(file, "\ntask", "\n\ntask"),
		"with returns": strings.ReplaceAll(file, "\n", "\r\n"),
	} {
		if faults := reported(t, text); len(faults) != 0 {
			t.Fatalf("%s: %+v", name, faults)
		}
		read, _ := job.ReadJoin([]byte(text))
		got := read.Join.Pianos
		if len(got) != 2 || len(got[0].Tasks) != 2 || got[0].Tasks[1].Left.String() != "11" ||
			got[0].Instrument.StockNumber != "K-A" ||
			got[0].OriginalPrice.String() != "2500" &&
				got[0].OriginalPrice.StringFixed(2) != "2500.00" ||
			got[1].Client != "Odile Garriga" || got[1].PromisedOn.String() != "2026-06-01" ||
			got[1].Deposit == nil {
			t.Errorf("%s: read %+v", name, got)
		}
	}
}

// TestEveryBadRowIsNamedByLineAndColumn has one fault in each row and wants all of them told at
// once.
func TestEveryBadRowIsNamedByLineAndColumn(t *testing.T) {
	t.Parallel()
	file := joinFile(t,
		joiningPiano("A"), // line 2
		joiningTask("A", "ZZ-99", "1", "1"),
		joiningTask("A", "AC-01", "-3", "1"),
		joiningTask("A", "DS-01", "7,5", "1"),
		joiningTask("Q", "DS-02", "1", "1"), // line 6
		joiningPiano("B", "stock_number", "K-A"),
		joiningTask("B", "AC-01", "1", ""),
		joiningPiano("C", "maker", "=HYPERLINK(1)"),
		joiningTask("C", "AC-01", "1", "1"), // line 10
		joiningPiano("D", "accepted_on", "2026-02-30"),
		joiningTask("D", "AC-01", "1", "1", "maker", "Orbell"),
		joiningPiano("E", "accepted_on", "2031-01-01", "size_mm", "18"),
		joiningTask("E", "AC-01", "1", "1"), // line 14
		joiningPiano("F", "stock_number", "K-118"),
		joiningTask("F", "AC-01", "1", "1"),
		joiningTask("F", "AC-01", "1", "1"),
		joiningPiano("G"), // line 18
		map[string]string{"row": "bench", "ref": "H"},
	)
	header, err := csv.NewReader(strings.NewReader(file)).Read()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, x := range reported(t, file, "K-118") {
		name := "-"
		if x.Column <= len(header) && x.Column > 1 {
			name = header[x.Column-1]
		} else if x.Column == 1 {
			name = "row"
		}
		got = append(got, fmt.Sprintf("%d %s", x.Line, name))
	}
	want := []string{
		"3 operation", "4 hours_done", "5 hours_done", "6 ref", "7 stock_number", "8 hours_left",
		"9 maker", "11 accepted_on", "12 maker",
		"13 size_mm", "13 accepted_on", "15 stock_number", "17 operation", "18 row", "19 row",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestAFileInTheWrongFormIsRefusedWithItsPlace(t *testing.T) {
	t.Parallel()
	good := joinFile(t, joiningPiano("A"), joiningTask("A", "AC-01", "1", "1"))
	for _, c := range []struct {
		name, file   string
		line, column int
		says         string
	}{
		{"empty", "", 1, 1, "empty"},
		{"UTF-16", "\xff\xfer\x00o\x00w\x00", 1, 1, "UTF-16"},
		{"Latin-1", strings.Replace(good, "Aldermere", "M\xfcller", 1), 2, 16, "UTF-8"},
		{"U+0000", strings.Replace(good, "Aldermere", "A\x00", 1), 2, 16, "U+0000"},
		{"semicolons", strings.ReplaceAll(good, ",", ";"), 1, 1, "semicolons"},
		{"an unknown column", strings.Replace(good, "maker", "make", 1), 1, 4, "a column"},
		{"a column twice", strings.Replace(good, "model", "maker", 1), 1, 5, "twice"},
		{"a quote within a cell", strings.Replace(good, "Aldermere", `Alder"mere`, 1), 2, 0, "CSV from here on"},
		{"a cell too few", strings.Replace(good, "piano,", "", 1), 2, 0, "cells"},
	} {
		faults := reported(t, c.file)
		if len(faults) == 0 {
			t.Errorf("%s: nothing is wrong with it", c.name)
			continue
		}
		x := faults[0]
		if x.Line != c.line || c.column != 0 && x.Column != c.column ||
			!strings.Contains(x.Detail, c.says) {
			t.Errorf(
				"%s: got line %d, column %d, %q; want %d, %d, %q", c.name, x.Line, x.Column,
				x.Detail, c.line, c.column, c.says,
			)
		}
	}
}

func TestTextThatLooksLikeAFormulaIsRefused(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"=1+1", "+44", "-", "@sum", "\tx"} {
		for _, column := range []string{"maker", "model", "serial", "colour", "stock_number"} {
			file := joinFile(t, joiningPiano("A", column, text), joiningTask("A", "AC-01", "1", "1"))
			if f := reported(t, file); len(f) != 1 || !strings.Contains(f[0].Detail, "formula") ||
				f[0].Line != 2 {
				t.Errorf("%s %q: got %+v", column, text, f)
			}
		}
	}
}

func TestAPianoThatJoinsGoesOnWithTheHoursThatItBrings(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	file := joinFile(
		t, joiningPiano("A"), joiningTask("A", "AC-01", "2.5", "11"),
		joiningTask("A", "DS-01", "6", "0"),
	)
	read, unread := job.ReadJoin([]byte(file))
	if len(unread) != 0 {
		t.Fatal(unread)
	}
	j := read.Join.Pianos[0].Job(c, job.Progress{RecordedAt: domaintest.JobHour})
	if len(j.Tasks) != 2 || j.Task("DS-01").Open() || j.Task("AC-01").Left.String() != "11" ||
		j.Task("AC-01").Done.String() != "2.5" {
		t.Errorf("got %+v", j.Tasks)
	}
	if j.Tasks[0].Order > j.Tasks[1].Order {
		t.Error("the tasks are not in the order of the catalogue")
	}
}

const largestFile = 4 << 20 // that the service takes

func FuzzReadJoin(f *testing.F) {
	good := joinFile(f, joiningPiano("A"), joiningTask("A", "AC-01", "1", "1"))
	for _, seed := range []string{
		"", good, "\ufeff" + good, "row,ref\n\"",
		strings.Replace(good, "88", "1e9", 1), strings.Replace(good, "K-A", "\x00", 1), "\xff\xfe",
		strings.Replace(good, "1,1", "99999999999999999999,NaN", 1), strings.ReplaceAll(good, "\n", "\r"),
	} {
		f.Add([]byte(seed))
	}
	header, _, _ := strings.Cut(good, "\n")
	for _, row := range []string{ // each repeated to the size of the largest file
		",", "x", "\"", "x\n", ",\n", strings.Repeat(",", strings.Count(header, ",")) + "\n",
		"piano,x,,,,,,,,,,,,,,,,,,,,\n", "\xff\n", "\x00", "\"\n\",", "9",
	} {
		most := strings.Repeat(row, largestFile/len(row))
		f.Add([]byte(most))
		f.Add([]byte((header + "\n" + most)[:largestFile]))
		f.Add([]byte((good + "piano," + most)[:largestFile]))
	}
	f.Add([]byte(strings.Replace(good, "1,1", strings.Repeat("9", largestFile/2)+",1", 1)))
	c := domaintest.Shipped(f)
	f.Fuzz(func(t *testing.T, file []byte) {
		if len(file) > largestFile {
			t.Skip("the service refuses it")
		}
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		start := time.Now()
		read, unread := job.ReadJoin(file)
		read.Join.JoinedOn = domaintest.JobDay
		check := read.Join.Check(c, money.MustCurrency("EUR"), domaintest.JobDay, nil)
		err := read.Report(unread, check)
		took := time.Since(start)
		runtime.ReadMemStats(&after)
		// far more than it takes, and far less than what is quadratic in the file; on a machine that is
		// short of time, the time says nothing
		memory := after.TotalAlloc - before.TotalAlloc
		if took > 5*time.Second && !testing.Short() || memory > 64<<20+200*uint64(len(file)) {
			t.Errorf("a file of %d bytes takes %v and %d MB", len(file), took, memory>>20)
		}
		if err != nil && len(err.Error()) > 1<<20 {
			t.Errorf("a file of %d bytes is answered with %d", len(file), len(err.Error()))
		}
		if err == nil {
			for _, p := range read.Join.Pianos {
				// must not panic on what was let through
				p.Job(c, job.Progress{RecordedAt: domaintest.JobHour})
			}
			return
		}
		for _, x := range domaintest.FaultOf(err).Fields {
			if x.Line < 1 || x.Column < 1 || x.Detail == "" {
				t.Errorf("a fault without its place: %+v", x)
			}
		}
	})
}
