package stock_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/books"
	"bentside/domain/job"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

var (
	screw = stock.Part{ID: uuid.UUID{1}, Code: "SCREW", Unit: "piece"}
	felt  = stock.Part{
		ID: uuid.UUID{2}, Code: "FELT", Unit: "m", PurchaseUnit: "roll", Content: decimal.NewFromInt(10),
	}
	glue = stock.Part{ID: uuid.UUID{3}, Code: "GLUE", Unit: "kg"}
)

var ofAction = map[uuid.UUID]stock.Part{screw.ID: screw, felt.ID: felt, glue.ID: glue}

func line(p stock.Part, quantity, unit string) stock.KitLine {
	return stock.KitLine{Part: p.ID, Quantity: decimal.RequireFromString(quantity), Unit: unit}
}

// whole is a kit of 88 screws, a roll of felt and 0.25 kg of glue.
func whole() stock.Kit {
	return stock.Kit{Name: "an action", Lines: []stock.KitLine{
		line(screw, "88", "piece"), line(felt, "1", "roll"), line(glue, "0.25", "kg"),
	}}
}

func TestAKitNamesEachPartOnceAndInUnitsItHas(t *testing.T) {
	t.Parallel()
	k, err := stock.Kit{Name: "glue", Lines: []stock.KitLine{line(glue, "1", "")}}.Checked(ofAction)
	if err != nil || k.Lines[0].Unit != "kg" {
		t.Errorf("checked as %+v, %v", k, err)
	}
	unknown := stock.Part{ID: uuid.UUID{9}}
	_, err = stock.Kit{Lines: []stock.KitLine{
		line(screw, "1", ""), line(screw, "1", ""), line(unknown, "1", ""), line(felt, "-1", ""),
		line(glue, "1", "roll"),
	}}.Checked(ofAction)
	for _, at := range []string{
		"#/name", "#/lines/1/part: must be in the kit once", "#/lines/2/part: no part found",
		"#/lines/3/quantity: must be more than 0", "#/lines/4/unit: must be kg",
	} {
		if !strings.Contains(err.Error(), at) {
			t.Errorf("%v doesn't say %s", err, at)
		}
	}
}

// shelvesOf returns how the parts of the kit stand with a job to go to, and so much of each.
func shelvesOf(tb rapid.TB, held map[uuid.UUID]string) (befores []stock.Before) {
	tb.Helper()
	for _, l := range whole().Lines {
		b := stock.Before{
			Part: ofAction[l.Part], Stock: valuation.NewStock(valuation.FIFO, eur), Today: monday,
			Books: books.Books{}, Job: &job.Job{ID: pianoA, State: job.Open},
		}
		if q := decimal.RequireFromString(held[l.Part]); q.IsPositive() {
			after, _, err := b.Stock.Receive(uuid.UUID{7}, q, money.FromMinor(1000, eur))
			if err != nil {
				tb.Fatal(err)
			}
			b.Stock, b.HeldThen, b.LeastHeld = after, q, q
		}
		befores = append(befores, b)
	}
	return befores
}

// issuesOf returns the issues of the kit to a job, some times over.
func issuesOf(tb rapid.TB, times int) []stock.Draft {
	tb.Helper()
	drafts, err := stock.KitIssue{Times: times, Job: pianoA}.Drafts(whole())
	if err != nil {
		tb.Fatal(err)
	}
	for i := range drafts {
		drafts[i].ID = uuid.UUID{8, byte(i)}
	}
	return drafts
}

func TestEveryPartThatAKitIsShortOfIsNamed(t *testing.T) {
	t.Parallel()
	drafts := issuesOf(t, 2)
	enough := map[uuid.UUID]string{screw.ID: "176", felt.ID: "20", glue.ID: "0.5"}
	moves, err := stock.DecideAll(shelvesOf(t, enough), drafts)
	if err != nil || len(moves) != 3 || !moves[1].Quantity.Equal(decimal.NewFromInt(-20)) ||
		moves[0].Reference != "an action" {
		t.Fatalf("issued as %+v, %v", moves, err)
	}
	_, err = stock.DecideAll(shelvesOf(t, map[uuid.UUID]string{
		screw.ID: "175", felt.ID: "0", glue.ID: "0.5",
	}), drafts)
	var f *domain.Fault
	if !errors.As(err, &f) || f.Kind != domain.Conflict || len(f.Fields) != 2 {
		t.Fatalf("refused with %v, want the two that are short", err)
	}
	for i, says := range []string{
		"SCREW lacks 1 piece, of which 175 are there", "FELT lacks 20 m, of which 0 are there",
	} {
		if f.Fields[i].Detail != says {
			t.Errorf("says %q, want %q", f.Fields[i].Detail, says)
		}
	}
	closed := shelvesOf(t, map[uuid.UUID]string{screw.ID: "0", felt.ID: "0", glue.ID: "0"})
	for i := range closed {
		closed[i].Job = &job.Job{ID: pianoA, State: job.Closed}
	}
	if _, err := stock.DecideAll(closed, drafts); !strings.Contains(err.Error(), "#/job") {
		t.Errorf("refused with %v, want the job that is closed", err)
	}
}

func TestAKitThatNoLongerFitsItsPartsIsToBeChanged(t *testing.T) {
	t.Parallel()
	k := whole()
	k.Lines[0].Unit = "box"
	drafts, err := stock.KitIssue{Times: 1, Job: pianoA}.Drafts(k)
	if err != nil {
		t.Fatal(err)
	}
	_, err = stock.DecideAll(shelvesOf(t, map[uuid.UUID]string{
		screw.ID: "88", felt.ID: "10", glue.ID: "1",
	}), drafts)
	if err == nil || !strings.Contains(err.Error(), "line 1 of the kit, of SCREW") {
		t.Errorf("refused with %v", err)
	}
	for says, x := range map[string]stock.KitIssue{
		"#/times": {Times: 0, Job: pianoA}, "#/job": {Times: 1},
	} {
		if _, err := x.Drafts(k); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%+v is refused with %v, want %s", x, err, says)
		}
	}
}

// Whatever is there: either every line is issued as the kit says, or what is lacking of each short
// part is what would be needed, and no more, for the kit to be issued.
func TestAKitIsIssuedWholeOrWithWhatIsLackingNamed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.IntRange(1, 3).Draw(t, "times")
		drafts := issuesOf(t, times)
		held, short := map[uuid.UUID]string{}, 0
		for _, need := range []struct {
			of   stock.Part
			each int64
		}{{screw, 8800}, {felt, 1000}, {glue, 25}} {
			n := rapid.Int64Range(0, 3*need.each).Draw(t, need.of.Code)
			held[need.of.ID] = decimal.New(n, -2).String()
			if n < int64(times)*need.each {
				short++
			}
		}
		moves, err := stock.DecideAll(shelvesOf(t, held), drafts)
		var f *domain.Fault
		switch {
		case short == 0 && (err != nil || len(moves) != 3):
			t.Fatalf("refused with %v, of which enough is there", err)
		case short > 0 && (!errors.As(err, &f) || len(f.Fields) != short || moves != nil):
			t.Fatalf("%d are short, and it says %v", short, err)
		}
	})
}
