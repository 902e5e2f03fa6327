package stock_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// A coil at 25.00 comes on Tuesday and is issued on Friday. That a coil at 50.00 came on Monday is
// entered after that: by FIFO it was that one that was issued, on the mean it was half of each.
func TestALateReceiptShowsWhatItChangesNow(t *testing.T) {
	t.Parallel()
	for method, job := range map[valuation.Method]string{
		valuation.FIFO: "50.00", valuation.MovingAverage: "37.50",
	} {
		s := wire(method)
		s.received(t, "1", "25.00", tuesday)
		s.toJob(t, pianoA, "25")
		s.want(t, "0", "0.00")
		late := s.received(t, "1", "50.00", monday)
		if late.Held.String() != "25" || late.HeldValue != *eurAmount("50.00") {
			t.Errorf("%s: the receipt itself leaves %s m for %s", method, late.Held, late.HeldValue)
		}
		shown := s.moves[len(s.moves)-1]
		if shown.Kind != stock.Recosting || shown.Of != late.ID || shown.On != friday ||
			!shown.Quantity.IsZero() {
			t.Errorf("%s: the difference isn't shown: %+v", method, shown)
		}
		if got := s.jobCost(pianoA); got != *eurAmount(job) {
			t.Errorf("%s: the job got wire for %s, want %s", method, got, job)
		}
		s.want(t, "25", eurAmount("75.00").Sub(*eurAmount(job)).Text())
		reverse := stock.Draft{Kind: stock.Reversal, Of: shown.ID, Note: "?"}
		wantFault(t, s, reverse, domain.Invalid, "#/of")
		reverse.Of = late.ID
		wantFault(t, s, reverse, domain.Conflict, "#/of")
	}
}

func TestALateReceiptBehindWhichNothingWasTakenChangesNothing(t *testing.T) {
	t.Parallel()
	s := wire(valuation.FIFO)
	s.received(t, "1", "25.00", tuesday)
	s.received(t, "1", "50.00", monday)
	if n := len(s.moves); n != 2 {
		t.Errorf("%d moves were made, want the two receipts", n)
	}
	s.toJob(t, pianoA, "25")
	if got := s.jobCost(pianoA); got != *eurAmount("50.00") {
		t.Errorf("the job got wire for %s, want that of Monday", got)
	}
}

// step is a receipt or an issue of some days.
type step struct {
	day   int
	draft stock.Draft
}

// Whatever receipt is entered last, everything ends as if it had been entered on its day: what each
// issue has cost and what is in stock.
func TestALateReceiptEndsAsIfItHadBeenEnteredOnItsDay(t *testing.T) {
	t.Parallel()
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		method := rapid.SampledFrom(valuation.Methods).Draw(t, "method")
		steps := drawSteps(t)
		receipts := []int{}
		for i, x := range steps {
			if x.draft.Kind == stock.Receipt {
				receipts = append(receipts, i)
			}
		}
		late := rapid.SampledFrom(receipts).Draw(t, "late")
		inTurn, belated := wire(method), wire(method)
		for i, x := range steps {
			if i == late {
				continue
			}
			if _, err := belated.try(x.draft); err != nil {
				return // it takes the late receipt
			}
		}
		if _, err := belated.try(steps[late].draft); err != nil {
			t.Fatal(err)
		}
		// On its day it comes after the day's other moves, since it was entered after them.
		ordered := slices.Concat(steps[:late], steps[late+1:])
		at := slices.IndexFunc(ordered, func(x step) bool { return x.day > steps[late].day })
		if at < 0 {
			at = len(ordered)
		}
		for _, x := range slices.Insert(ordered, at, steps[late]) {
			if _, err := inTurn.try(x.draft); err != nil {
				t.Fatal(err)
			}
		}
		a, b := inTurn.costs(), belated.costs()
		if !slices.Equal(a, b) {
			t.Fatalf("entered late: %v, in turn: %v", b, a)
		}
		compared++
	})
	if !testing.Short() && compared < 5 {
		t.Errorf("only %d histories were compared", compared)
	}
}

func drawSteps(t *rapid.T) []step {
	var steps []step
	for range rapid.IntRange(2, 12).Draw(t, "steps") {
		q := decimal.NewFromInt(rapid.Int64Range(1, 20).Draw(t, "quantity"))
		x := step{day: rapid.IntRange(0, 4).Draw(t, "day")}
		x.draft = stock.Draft{Kind: stock.Issue, Quantity: &q, Note: "so it is"}
		if len(steps) < 1 || rapid.Bool().Draw(t, "receipt") {
			value := money.FromMinor(rapid.Int64Range(1, 5000).Draw(t, "value"), eur)
			x.draft.Kind, x.draft.Value = stock.Receipt, &value
		}
		x.draft.On = monday.AddDays(x.day)
		steps = append(steps, x)
	}
	slices.SortStableFunc(steps, func(a, b step) int { return a.day - b.day })
	return steps
}

// costs returns what each issue has cost, in the order of days, and what is in stock.
func (s *shelf) costs() []money.Amount {
	moves := slices.DeleteFunc(slices.Clone(s.moves), func(m stock.Move) bool {
		return m.Kind != stock.Issue
	})
	slices.SortStableFunc(moves, func(a, b stock.Move) int { return a.On.Compare(b.On) })
	costs := []money.Amount{s.at(uuid.Nil)}
	for _, m := range moves {
		costs = append(costs, s.at(m.ID))
	}
	return costs
}

// at adds up what is at one place.
func (s *shelf) at(place uuid.UUID) money.Amount {
	sum := money.Zero(eur)
	for _, e := range s.entries() {
		if e.OutOn == place {
			sum = sum.Add(e.Value)
		}
	}
	return sum
}
