package job_test

import (
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/pricing/money"
)

// A file that is all wrong is answered with a page of faults, not with a copy of itself.
func TestAFileThatIsAllWrongIsAnsweredInOnePage(t *testing.T) {
	t.Parallel()
	for name, file := range map[string]string{
		"not text":    strings.Repeat("\xff\n", 10_000),
		"U+0000":      strings.Repeat("\x00\n", 10_000),
		"odd columns": strings.Repeat("x,", 10_000) + "x\n",
		"odd rows":    joinFile(t) + strings.Repeat("x\n", 10_000),
	} {
		_, faults := job.ReadJoin([]byte(file))
		if len(faults) < 10 || len(faults) > domain.MaxListedFaults+len(strings.Split(joinFile(t), ",")) {
			t.Errorf("%s: %d faults", name, len(faults))
		}
	}
}

func TestAFileHasAtMostSoManyRows(t *testing.T) {
	t.Parallel()
	header := joinFile(t)
	row := strings.Repeat(",", strings.Count(header, ",")) + "\n"
	const most = job.MaxJoinPianos + job.MaxJoinTasks
	if _, faults := job.ReadJoin([]byte(header + strings.Repeat(row, most))); len(faults) > 0 {
		t.Errorf("the largest file: %+v", faults)
	}
	_, faults := job.ReadJoin([]byte(header + strings.Repeat(row, most+1)))
	if len(faults) != 1 || faults[0].Line != most+2 ||
		!strings.Contains(faults[0].Detail, "22000 rows") {
		t.Errorf("a row more: %+v", faults)
	}
}

func TestWhatIsWrongWithTheWholeFileStandsAtItsTop(t *testing.T) {
	t.Parallel()
	read, unread := job.ReadJoin([]byte(
		joinFile(t, joiningPiano("A"), joiningTask("A", "AC-01", "0", "12")),
	))
	read.Join.JoinedOn = domaintest.JobDay.AddDays(1)
	f := domaintest.FaultOf(read.Report(unread, read.Join.Check(
		domaintest.Shipped(t), money.MustCurrency("EUR"), domaintest.JobDay, nil,
	)))
	if f == nil || len(f.Fields) != 1 || f.Fields[0].Pointer != "#/joined_on" ||
		f.Fields[0].Line != 1 || f.Fields[0].Column != 1 {
		t.Errorf("joined tomorrow: got %+v, want one fault at line 1, column 1", f)
	}
	none, unread := job.ReadJoin([]byte(joinFile(t)))
	none.Join.JoinedOn = domaintest.JobDay
	f = domaintest.FaultOf(none.Report(unread, none.Join.Check(
		domaintest.Shipped(t), money.MustCurrency("EUR"), domaintest.JobDay, nil,
	)))
	if f == nil || len(f.Fields) != 1 || f.Fields[0].Line != 1 || f.Fields[0].Column != 1 {
		t.Errorf("an empty form: got %+v, want one fault at line 1, column 1", f)
	}
	_, only := job.ReadJoin([]byte("row\n"))
	for _, x := range only {
		if strings.Contains(x.Detail, "semicolon") {
			t.Errorf("one column alone isn't a matter of semicolons: %+v", x)
		}
	}
}

// The reference ties the operations to their piano, so a piano without one, or with another's,
// can't have any.
func TestEachPianoOfAFileHasItsReference(t *testing.T) {
	t.Parallel()
	for name, x := range map[string]struct {
		file string
		line int
	}{
		"none": {joinFile(t, joiningPiano("", "stock_number", "K-1")), 2},
		"another's": {
			joinFile(t, joiningPiano("A"), joiningTask("A", "AC-01", "0", "1"),
				joiningPiano("A", "stock_number", "K-2"), joiningTask("A", "DS-01", "0", "1")),
			4,
		},
	} {
		_, faults := job.ReadJoin([]byte(x.file))
		if len(faults) != 1 || faults[0].Line != x.line || faults[0].Column != 2 {
			t.Errorf("%s: got %+v, want one fault at line %d, column 2", name, faults, x.line)
		}
	}
}

func TestOldAmountsAreThoseOfTheCurrency(t *testing.T) {
	t.Parallel()
	for amount, refused := range map[string]bool{
		"0": false, "0.01": false, "-0.01": true, "100000000": false, "100000000.01": true,
		"12.345": true, "12.340": false, "0.0000000000000000001": true,
	} {
		for _, column := range []string{"original_price", "cost_so_far", "deposit"} {
			file := joinFile(t, joiningPiano("A", column, amount), joiningTask("A", "AC-01", "0", "1"))
			if got := reported(t, file); (len(got) == 1) != refused {
				t.Errorf("%s of %s: %+v", column, amount, got)
			}
		}
	}
}

func TestFiguresOfAFileAreWrittenInDigits(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		column, cell string
		refused      bool
	}{
		{"original_price", "1e3", true},
		{"original_price", "1E3", true},
		{"original_price", "1000", false},
		{"original_price", strings.Repeat("0", 22), false},
		{"original_price", strings.Repeat("0", 23), true},
		{"year", "1e3", true},
		{"size_mm", "1850.5", true},
		{"notes", "1000001", true},
		{"notes", "-1000001", true},
	} {
		_, faults := job.ReadJoin([]byte(joinFile(t, joiningPiano("A", x.column, x.cell))))
		if (len(faults) > 0) != x.refused {
			t.Errorf("%s %q: %+v", x.column, x.cell, faults)
		}
	}
}
