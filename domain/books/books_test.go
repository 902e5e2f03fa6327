package books_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/books"

	"pgregory.net/rapid"
)

var today = day("2026-05-04")

func day(s string) domain.Date {
	d, err := domain.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func closed(through string) books.Books { return books.Books{ClosedThrough: day(through)} }

func TestWhatIsRecordedLateCountsOnTheFirstOpenDay(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what string
		in   books.Books
		days []domain.Date
		want string
	}{
		{"nothing closed", books.Books{}, []domain.Date{day("2026-03-05")}, "2026-03-05"},
		{"an open day", closed("2026-03-31"), []domain.Date{day("2026-04-01")}, "2026-04-01"},
		{"the last closed day", closed("2026-03-31"), []domain.Date{day("2026-03-31")}, "2026-04-01"},
		{"long closed", closed("2026-03-31"), []domain.Date{day("2024-02-29")}, "2026-04-01"},
		{
			"a return of what was posted later than it came",
			books.Books{},
			[]domain.Date{day("2026-03-20"), day("2026-04-01")},
			"2026-04-01",
		},
		{
			"both closed meanwhile", closed("2026-04-30"),
			[]domain.Date{day("2026-03-20"), day("2026-04-01")},
			"2026-05-01",
		},
		{"what refers to nothing", closed("2026-03-31"), []domain.Date{{}}, "2026-04-01"},
	} {
		if got := c.in.PostingDay(c.days...); got != day(c.want) {
			t.Errorf("%s: counts on %s, want %s", c.what, got, c.want)
		}
	}
}

func TestBooksAreClosedForDaysThatAreOver(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		what          string
		in            books.Books
		through       string
		kind          domain.FaultKind
		says          string
		from, closing string
	}{
		{"yesterday", books.Books{}, "2026-05-03", "", "", "", "2026-05-03"},
		{"the next month", closed("2026-03-31"), "2026-04-30", "", "", "2026-04-01", "2026-04-30"},
		{"today", books.Books{}, "2026-05-04", domain.Invalid, "that is over", "", ""},
		{"the future", closed("2026-03-31"), "2026-12-31", domain.Invalid, "that is over", "", ""},
		{
			"twice", closed("2026-03-31"), "2026-03-31", domain.Conflict, "through 2026-03-31 already",
			"", "",
		},
		{
			"before", closed("2026-03-31"), "2026-02-28", domain.Conflict, "through 2026-03-31 already",
			"", "",
		},
		{"before any piano", books.Books{}, "1900-01-01", domain.Invalid, "50 years", "", ""},
	} {
		got, after, err := c.in.Close(books.Closing{Through: day(c.through)}, today)
		if c.kind != "" {
			wantFault(t, c.what, err, c.kind, c.says)
			continue
		}
		if err != nil || got.Kind != books.Closed || after != closed(c.closing) ||
			got.ClosedThrough != after.ClosedThrough || !got.From.IsZero() != (c.from != "") ||
			c.from != "" && got.From != day(c.from) {
			t.Errorf("%s: got %+v, %+v, %v", c.what, got, after, err)
		}
	}
}

// What is opened again is everything from a day on, for a reason.
func TestBooksAreReopenedFromADayOn(t *testing.T) {
	t.Parallel()
	c := books.Closing{
		From: day("2026-03-01"), Through: day("2026-04-30"), Note: "a bill was left out",
	}
	got, after, err := closed("2026-04-30").Reopen(c, today)
	if err != nil || got.Kind != books.Reopened || after != closed("2026-02-28") ||
		got.ClosedThrough != after.ClosedThrough {
		t.Errorf("got %+v, %+v, %v", got, after, err)
	}
	for what, x := range map[string]struct {
		in   books.Books
		c    books.Closing
		kind domain.FaultKind
		says string
	}{
		"without a reason": {
			closed("2026-04-30"),
			books.Closing{From: c.From, Through: c.Through, Note: " "},
			domain.Invalid, "must say why",
		},
		"one month in the middle": {
			closed("2026-04-30"),
			books.Closing{From: c.From, Through: day("2026-03-31"), Note: "why"},
			domain.Conflict, "must be 2026-04-30",
		},
		"more was closed meanwhile": {
			closed("2026-05-02"), c, domain.Conflict, "must be 2026-05-02",
		},
		"what is open": {
			closed("2026-02-28"), c, domain.Conflict, "closed through 2026-02-28",
		},
		"nothing is closed": {books.Books{}, c, domain.Conflict, "nothing of the books is closed"},
		"backwards": {
			closed("2026-04-30"),
			books.Closing{From: c.Through, Through: c.From, Note: "why"},
			domain.Invalid, "or later",
		},
	} {
		_, _, err := x.in.Reopen(x.c, today)
		wantFault(t, what, err, x.kind, x.says)
	}
}

// Nothing can be posted where today itself is closed, as after a move to a zone further west.
func TestNothingIsPostedTomorrow(t *testing.T) {
	t.Parallel()
	wantFault(t, "closed through today", closed("2026-05-04").Usable(today), domain.Conflict,
		"closed through 2026-05-04")
	if err := closed("2026-05-03").Usable(today); err != nil {
		t.Errorf("closed through yesterday: refused with %v", err)
	}
}

// What a workshop begins with counts on the day before that, or the books never began there.
func TestWhatCountsOnNoOtherDayIsRefusedOnAClosedOne(t *testing.T) {
	t.Parallel()
	wantFault(t, "closed", closed("2026-03-31").CheckOpen(day("2026-03-31")), domain.Conflict,
		"reopen them from 2026-03-31")
	if err := closed("2026-03-31").CheckOpen(day("2026-04-01")); err != nil {
		t.Errorf("open: refused with %v", err)
	}
}

func wantFault(tb testing.TB, what string, err error, kind domain.FaultKind, says string) {
	tb.Helper()
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != kind || !strings.Contains(f.Text(), says) {
		tb.Errorf("%s: got %v, want %s that says %q", what, err, kind, says)
	}
}

// Closings and reopenings come at random. Beside them a set of single closed days is kept, and the
// posting day is looked for day by day.
func TestThePostingDayIsTheFirstOneThatIsOpenWhateverIsClosed(t *testing.T) {
	t.Parallel()
	first := today.AddDays(-40)
	rapid.Check(t, func(t *rapid.T) {
		var b books.Books
		shut := map[domain.Date]bool{}
		slow := func(days ...domain.Date) domain.Date {
			d := slices.MaxFunc(days, domain.Date.Compare)
			for shut[d] {
				d = d.AddDays(1)
			}
			return d
		}
		somewhen := rapid.Custom(func(t *rapid.T) domain.Date {
			return first.AddDays(rapid.IntRange(0, 42).Draw(t, "day"))
		})
		for range rapid.IntRange(1, 12).Draw(t, "steps") {
			c := books.Closing{
				From: somewhen.Draw(t, "from"), Through: somewhen.Draw(t, "through"), Note: "why",
			}
			turn := books.Books.Close
			if rapid.Bool().Draw(t, "reopen") {
				turn = books.Books.Reopen
				if rapid.Bool().Draw(t, "named rightly") {
					c.Through = b.ClosedThrough
				}
			}
			made, after, err := turn(b, c, today)
			switch {
			case err != nil && after != b:
				t.Fatalf("refused and changed: %+v", after)
			case err == nil && made.Kind == books.Closed:
				for d := first; d.Compare(made.Through) <= 0; d = d.AddDays(1) {
					shut[d] = true
				}
			case err == nil:
				for d := made.From; d.Compare(made.Through) <= 0; d = d.AddDays(1) {
					shut[d] = false
				}
			}
			b = after
			days := rapid.SliceOfN(somewhen, 1, 3).Draw(t, "days")
			got, want := b.PostingDay(days...), slow(days...)
			if got != want || !b.IsOpen(got) || b.Usable(today) != nil {
				t.Fatalf("closed through %s, %v counts on %s, want %s", b.ClosedThrough, days, got, want)
			}
		}
	})
}
