package stock_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/job"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
)

func (s *shelf) want(t *testing.T, held, value string) {
	t.Helper()
	last := s.moves[len(s.moves)-1]
	if !last.Held.Equal(dec(held)) || last.HeldValue != *eurAmount(value) {
		t.Errorf("%s m are held for %s, want %s m for %s", last.Held, last.HeldValue, held, value)
	}
}

func TestWireIsBoughtByTheCoilAndUsedByTheMetre(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	m := s.received(t, "2", "37.00", monday)
	if !m.Quantity.Equal(dec("50")) || m.Unit != "coil" || !m.Entered.Equal(dec("2")) {
		t.Errorf("2 coils are %s m, entered as %s %s; want 50 m", m.Quantity, m.Entered, m.Unit)
	}
	s.toJob(t, pianoA, "12.5")
	s.want(t, "37.5", "27.75")
	if m.On != monday || m.PostedOn != monday {
		t.Errorf("it took place on %s and is posted on %s, want both on %s", m.On, m.PostedOn, monday)
	}
}

// The wire of the workshop case S-1 of the worked examples, 25 m to the coil: 10 coils at 18.00, 6
// at 21.00 and 12.00 of carriage, 12 issued for 226.00, one back at 23.00, 115.00 left.
func TestWireOfTheWorkshopCaseByTheMetre(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	s.received(t, "10", "180.00", monday)
	second := s.received(t, "6", "126.00", tuesday)
	s.do(t, stock.Draft{
		Kind: stock.Adjustment, Of: second.ID, Value: eurAmount("12.00"), Note: "carriage",
	})
	issue := s.toJob(t, pianoA, "300")
	if issue.Value != *eurAmount("-226.00") {
		t.Errorf("300 m are issued at %s, want 226.00", issue.Value.Neg())
	}
	s.do(t, stock.Draft{Kind: stock.Return, Of: issue.ID, Quantity: quantity("1"), Unit: "coil"})
	s.want(t, "125", "115.00")
	if got := s.jobCost(pianoA); got != *eurAmount("203.00") {
		t.Errorf("the job got wire for %s, want 203.00", got)
	}
}

// Carriage that is billed once the wire is used goes where the wire went, and comes back with it.
func TestLateCarriageFollowsTheWireAndComesBackWithIt(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		s := wire(m)
		coils := s.received(t, "4", "100.00", monday)
		a := s.toJob(t, pianoA, "50")
		s.toJob(t, pianoB, "25")
		s.do(t, stock.Draft{
			Kind: stock.Adjustment, Of: coils.ID, Value: eurAmount("10.00"), Note: "carriage",
		})
		s.want(t, "25", "27.50")
		for jb, want := range map[uuid.UUID]string{pianoA: "55.00", pianoB: "27.50"} {
			if got := s.jobCost(jb); got != *eurAmount(want) {
				t.Errorf("%s: the job got wire for %s, want %s", m, got, want)
			}
		}
		s.do(t, stock.Draft{Kind: stock.Return, Of: a.ID, Quantity: quantity("50")})
		s.want(t, "75", "82.50")
	}
}

func TestACountIsHeldAgainstItsOwnDay(t *testing.T) {
	t.Parallel()
	s := wire(valuation.MovingAverage)
	s.received(t, "4", "100.00", monday)
	s.toJob(t, pianoA, "40") // on Friday
	short := s.do(t, stock.Draft{Kind: stock.Count, Quantity: quantity("99"), On: tuesday})
	if !short.Quantity.Equal(dec("-1")) {
		t.Errorf("of 100 m 99 were counted: %s m are booked, want -1", short.Quantity)
	}
	s.want(t, "59", "59.00")
	over := s.do(t, stock.Draft{Kind: stock.Count, Quantity: quantity("61")})
	if !over.Quantity.Equal(dec("2")) || over.Value != *eurAmount("2.00") {
		t.Errorf("2 m turned up at %s, want the mean of what is held, 2.00", over.Value)
	}
	none := s.do(t, stock.Draft{Kind: stock.Count, Quantity: quantity("61")})
	if !none.Quantity.IsZero() || len(none.Entries) != 0 {
		t.Errorf("a count without a difference moved %s m", none.Quantity)
	}
}

// Where nothing is held, what turns up costs what the last receipt did; where there never was one,
// whoever counts says.
func TestWhatTurnsUpOnAnEmptyShelfIsValuedByTheLastReceipt(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	found := stock.Draft{Kind: stock.Count, Quantity: quantity("10")}
	wantFault(t, s, found, domain.Invalid, "#/value")
	found.Value = eurAmount("4.00")
	s.do(t, found)
	s.want(t, "10", "4.00")
	wantFault(t, s, stock.Draft{
		Kind: stock.Count, Quantity: quantity("11"), Value: eurAmount("4.00"),
	}, domain.Invalid, "#/value")

	s = wire(valuation.FIFO)
	s.received(t, "1", "20.00", monday)
	s.toJob(t, pianoA, "25")
	s.do(t, stock.Draft{Kind: stock.Count, Quantity: quantity("5")})
	s.want(t, "5", "4.00")
}

func TestAReversalLeavesTheStockAsItWas(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		s := wire(m)
		first := s.received(t, "3", "10.00", monday)
		issue := s.toJob(t, pianoA, "7")
		back := s.do(t, stock.Draft{Kind: stock.Return, Of: issue.ID, Quantity: quantity("2")})
		sent := s.do(t, stock.Draft{Kind: stock.SentBack, Of: first.ID, Quantity: quantity("20")})
		scrap := s.do(t, stock.Draft{
			Kind: stock.Scrap, Quantity: quantity("1"), CountsAs: stock.NormalLoss, Note: "kinked",
		})
		count := s.do(t, stock.Draft{Kind: stock.Count, Quantity: quantity("40")})
		for i, undone := range []stock.Move{count, scrap, sent, back, issue, first} {
			s.do(t, stock.Draft{Kind: stock.Reversal, Of: undone.ID, Note: "entered wrongly"})
			want := stock.Move{Held: dec("0"), HeldValue: *eurAmount("0.00")}
			if before := 4 - i; before >= 0 {
				want = s.moves[before]
			}
			s.want(t, want.Held.String(), want.HeldValue.Text())
		}
		if got := s.jobCost(pianoA); !got.IsZero() {
			t.Errorf("%s: the job still has wire for %s", m, got)
		}
	}
}

// An issue that is reversed after its carriage was billed takes the carriage back into stock.
func TestAReversedIssueComesBackAtWhatItCostsByNow(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		s := wire(m)
		coils := s.received(t, "4", "100.00", monday)
		issue := s.toJob(t, pianoA, "50")
		s.do(t, stock.Draft{
			Kind: stock.Adjustment, Of: coils.ID, Value: eurAmount("10.00"), Note: "carriage",
		})
		s.do(t, stock.Draft{Kind: stock.Reversal, Of: issue.ID, Note: "entered twice"})
		s.want(t, "100", "110.00")
		if got := s.jobCost(pianoA); !got.IsZero() {
			t.Errorf("%s: the job still has wire for %s", m, got)
		}
	}
}

func wantFault(
	t *testing.T, s *shelf, d stock.Draft, kind domain.FaultKind, pointer string,
) {
	t.Helper()
	_, err := s.try(d)
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != kind || !slices.ContainsFunc(f.Fields,
		func(x domain.FieldFault) bool { return x.Pointer == pointer }) {
		t.Errorf("%s: got %v, want %s about %s", d.Kind, err, kind, pointer)
	}
}

func TestEachMoveThatBreaksARuleIsRefusedWithItsField(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	first := s.received(t, "2", "500000000.00", tuesday)
	issue := s.toJob(t, pianoA, "20")
	at := time.Date(2026, time.November, 5, 12, 0, 0, 0, time.UTC)
	s.jobs[pianoA].Tasks = append(
		s.jobs[pianoA].Tasks, job.Task{Operation: "ST-02", FinishedAt: &at},
		job.Task{Operation: "ST-03", Dropped: true},
	)
	closed := uuid.UUID{3}
	s.jobs[closed] = &job.Job{ID: closed, State: job.Closed}
	yen := money.MustParse("5 JPY")
	for name, c := range map[string]struct {
		draft   stock.Draft
		kind    domain.FaultKind
		pointer string
	}{
		"issuing more than there is": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("30.001"), Job: pianoA},
			domain.Conflict, "#/quantity",
		},
		"issuing more than there was that day": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, On: monday},
			domain.Conflict, "#/quantity",
		},
		"issuing nothing": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("0"), Job: pianoA},
			domain.Invalid, "#/quantity",
		},
		"issuing without a quantity": {
			stock.Draft{Kind: stock.Issue, Job: pianoA}, domain.Invalid, "#/quantity",
		},
		"issuing to nobody and for nothing": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1")}, domain.Invalid, "#/note",
		},
		"issuing at a price": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, Value: eurAmount("1.00")},
			domain.Invalid, "#/value",
		},
		"issuing by the kilogram": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Unit: "kg", Job: pianoA},
			domain.Invalid, "#/unit",
		},
		"issuing to an unknown job": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: uuid.Max},
			domain.Invalid, "#/job",
		},
		"issuing to a closed job": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: closed},
			domain.Conflict, "#/job",
		},
		"issuing to a finished task": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, Operation: "ST-02"},
			domain.Conflict, "#/operation",
		},
		"issuing to a task that was taken out": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, Operation: "ST-03"},
			domain.Conflict, "#/operation",
		},
		"issuing to a task that the job doesn't have": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, Operation: "AC-10"},
			domain.Invalid, "#/operation",
		},
		"issuing tomorrow": {
			stock.Draft{Kind: stock.Issue, Quantity: quantity("1"), Job: pianoA, On: friday.AddDays(1)},
			domain.Invalid, "#/on",
		},
		"returning what was never issued": {
			stock.Draft{Kind: stock.Return, Quantity: quantity("1"), Of: first.ID},
			domain.Invalid, "#/of",
		},
		"returning of an unknown issue": {
			stock.Draft{Kind: stock.Return, Quantity: quantity("1"), Of: uuid.Max},
			domain.Invalid, "#/of",
		},
		"returning more than was issued": {
			stock.Draft{Kind: stock.Return, Quantity: quantity("1"), Unit: "coil", Of: issue.ID},
			domain.Conflict, "#/quantity",
		},
		"returning before the issue": {
			stock.Draft{Kind: stock.Return, Quantity: quantity("1"), Of: issue.ID, On: tuesday},
			domain.Invalid, "#/on",
		},
		"sending back more than is left": {
			stock.Draft{Kind: stock.SentBack, Quantity: quantity("31"), Of: first.ID},
			domain.Conflict, "#/quantity",
		},
		"counting less than nothing": {
			stock.Draft{Kind: stock.Count, Quantity: quantity("-1")}, domain.Invalid, "#/quantity",
		},
		"counting coils of another unit": {
			stock.Draft{Kind: stock.Count, Quantity: quantity("0"), Unit: "reel"},
			domain.Invalid, "#/unit",
		},
		"counting what nobody could pay for": {
			stock.Draft{Kind: stock.Count, Quantity: quantity("1000000000")},
			domain.Invalid, "#/quantity",
		},
		"scrapping without a reason": {
			stock.Draft{Kind: stock.Scrap, Quantity: quantity("1"), CountsAs: stock.NormalLoss},
			domain.Invalid, "#/note",
		},
		"scrapping without a word whether that is usual": {
			stock.Draft{Kind: stock.Scrap, Quantity: quantity("1"), Note: "kinked"},
			domain.Invalid, "#/counts_as",
		},
		"a loss that goes to no job": {
			stock.Draft{
				Kind: stock.Issue, Quantity: quantity("1"), CountsAs: stock.AbnormalLoss, Note: "lost",
			},
			domain.Invalid, "#/counts_as",
		},
		"overhead that goes to a job": {
			stock.Draft{
				Kind: stock.Issue, Quantity: quantity("1"), CountsAs: stock.Overhead, Job: pianoA,
			},
			domain.Invalid, "#/counts_as",
		},
		"an abnormal loss without a word why": {
			stock.Draft{
				Kind: stock.Issue, Quantity: quantity("1"), CountsAs: stock.AbnormalLoss, Job: pianoA,
			},
			domain.Invalid, "#/note",
		},
		"what was counted as a loss": {
			stock.Draft{Kind: stock.Count, Quantity: quantity("1"), CountsAs: stock.NormalLoss},
			domain.Invalid, "#/counts_as",
		},
		"a receipt without a value": {
			stock.Draft{Kind: stock.Receipt, Quantity: quantity("1")}, domain.Invalid, "#/value",
		},
		"a receipt in another currency": {
			stock.Draft{Kind: stock.Receipt, Quantity: quantity("1"), Value: &yen},
			domain.Invalid, "#/value/currency",
		},
		"a receipt for less than nothing": {
			stock.Draft{Kind: stock.Receipt, Quantity: quantity("1"), Value: eurAmount("-1.00")},
			domain.Invalid, "#/value/amount",
		},
		"a receipt with more digits than are kept": {
			stock.Draft{
				Kind: stock.Receipt, Quantity: quantity("0.0000001"), Value: eurAmount("1.00"),
			},
			domain.Invalid, "#/quantity",
		},
		"adjusting by nothing": {
			stock.Draft{Kind: stock.Adjustment, Of: first.ID, Value: eurAmount("0.00"), Note: "?"},
			domain.Invalid, "#/value/amount",
		},
		"a credit above the cost": {
			stock.Draft{Kind: stock.Adjustment, Of: first.ID, Value: eurAmount("-500000000.01"), Note: "?"},
			domain.Conflict, "#/value/amount",
		},
		"reversing a receipt that has moved on": {
			stock.Draft{Kind: stock.Reversal, Of: first.ID, Note: "?"}, domain.Conflict, "#/of",
		},
	} {
		t.Run(name, func(t *testing.T) { wantFault(t, s, c.draft, c.kind, c.pointer) })
	}
}

func TestWhatWasReversedOrReturnedIsNotMovedAgain(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	first := s.received(t, "2", "50.00", tuesday)
	issue := s.toJob(t, pianoA, "20")
	s.do(t, stock.Draft{Kind: stock.Return, Of: issue.ID, Quantity: quantity("5")})
	reverse := func(m stock.Move) stock.Draft {
		return stock.Draft{Kind: stock.Reversal, Of: m.ID, Note: "entered wrongly"}
	}
	wantFault(t, s, reverse(issue), domain.Conflict, "#/of")
	back := s.do(t, stock.Draft{Kind: stock.Return, Of: issue.ID, Quantity: quantity("15")})
	s.jobs[pianoA].State = job.Closed
	wantFault(t, s, reverse(back), domain.Conflict, "#/job")
	undone := s.do(t, reverse(first))
	wantFault(t, s, reverse(first), domain.Conflict, "#/of")
	wantFault(t, s, reverse(undone), domain.Invalid, "#/of")
	wantFault(t, s, stock.Draft{
		Kind: stock.Adjustment, Of: first.ID, Value: eurAmount("5.00"), Note: "carriage",
	}, domain.Conflict, "#/of")
}
