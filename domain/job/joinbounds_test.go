package job_test

import (
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/job"
	"bentside/pricing/money"
)

func TestAPianoJoinsWithTextsAndDaysUpToTheirBounds(t *testing.T) {
	t.Parallel()
	longest := strings.Repeat("n", domain.MaxName)
	lastDay := domaintest.JobDay.AddDays(20 * 366)
	for name, x := range map[string]struct {
		changes []string
		refused bool
	}{
		"the longest serial": {[]string{"serial", longest}, false},
		"a longer one":       {[]string{"serial", longest + "n"}, true},
		"the longest client": {[]string{"owner", "client", "client", longest}, false},
		"a longer client":    {[]string{"owner", "client", "client", longest + "n"}, true},
		"promised on the day of the yes": {
			[]string{"accepted_on", "2026-01-12", "promised_on", "2026-01-12"}, false,
		},
		"promised before it": {
			[]string{"accepted_on", "2026-01-12", "promised_on", "2026-01-11"}, true,
		},
		"promised in twenty years": {[]string{"promised_on", lastDay.String()}, false},
		"promised later":           {[]string{"promised_on", lastDay.AddDays(1).String()}, true},
	} {
		file := joinFile(t, joiningPiano("A", x.changes...), joiningTask("A", "AC-01", "0", "12"))
		if got := reported(t, file); (len(got) > 0) != x.refused {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// Whoever mends a file goes through it line by line and from left to right.
func TestFaultsOfAFileStandInReadingOrder(t *testing.T) {
	t.Parallel()
	got := reported(t, joinFile(t,
		joiningPiano("A", "size_mm", "10", "year", "1500", "notes", "3"),
		joiningTask("A", "AC-01", "-1", "-1"),
		joiningPiano("B", "stock_number", "K-A", "kind", "harp"), joiningTask("B", "AC-01", "0", "12")))
	if len(got) < 7 || !slices.IsSortedFunc(got, func(a, b domain.FieldFault) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Column - b.Column
	}) {
		t.Errorf("got %+v", got)
	}
	if !slices.ContainsFunc(got, func(x domain.FieldFault) bool {
		return strings.Contains(x.Detail, `"K-A" is that of piano 1 too`)
	}) {
		t.Errorf("nobody says whose number it is: %+v", got)
	}
}

func TestAFileThatIsNotTextSaysWhereItEnds(t *testing.T) {
	t.Parallel()
	for file, want := range map[string]domain.FieldFault{
		"\x00row": {Line: 1, Column: 1, Detail: "must not hold the character U+0000"},
		"row,ref\xff": {
			Line: 1, Column: 8, Detail: "isn't UTF-8 from byte 8 on; save the file as UTF-8",
		},
		"row,ref\nÄ\xff": {
			Line: 2, Column: 3, Detail: "isn't UTF-8 from byte 3 on; save the file as UTF-8",
		},
	} {
		_, faults := job.ReadJoin([]byte(file))
		if len(faults) != 1 || faults[0].Line != want.Line || faults[0].Column != want.Column ||
			faults[0].Detail != want.Detail {
			t.Errorf("%q: got %+v, want %+v", file, faults, want)
		}
	}
}

// So many pianos and operations join at once, and no more.
func TestAWorkshopJoinsWithSoManyPianosAtOnce(t *testing.T) {
	t.Parallel()
	joined := func(pianos, tasks int) []string {
		j := job.Join{JoinedOn: domaintest.JobDay, Pianos: make([]job.JoiningPiano, pianos)}
		if pianos > 0 {
			j.Pianos[0].Tasks = make([]job.JoiningTask, tasks)
		}
		return pointersOf(
			j.Check(domaintest.Shipped(t), money.MustCurrency("EUR"), domaintest.JobDay, nil),
		)
	}
	for _, x := range []struct {
		pianos, tasks int
		refused       bool
	}{
		{0, 0, true},
		{job.MaxJoinPianos, 0, false},
		{job.MaxJoinPianos + 1, 0, true},
		{1, job.MaxJoinTasks, false},
		{1, job.MaxJoinTasks + 1, true},
	} {
		if got := slices.Contains(joined(x.pianos, x.tasks), "#/pianos"); got != x.refused {
			t.Errorf("%d pianos with %d operations: refused %t", x.pianos, x.tasks, got)
		}
	}
}
