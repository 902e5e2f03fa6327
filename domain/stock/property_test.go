package stock_test

import (
	"errors"
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

// Whatever is asked for in whatever order: what is refused is refused as a fault, what is held is
// the sum of all entries in stock, nothing is less than nothing on any day, and no move but those
// that bring something in changes what is held and out together.
func TestTheEntriesAddUpWhateverIsAskedFor(t *testing.T) {
	t.Parallel()
	made := map[stock.Kind]int{}
	rapid.Check(t, func(t *rapid.T) {
		s := wire(rapid.SampledFrom(valuation.Methods).Draw(t, "method"))
		for range rapid.IntRange(10, 40).Draw(t, "moves") {
			d := drawDraft(t, s)
			m, err := s.try(d)
			var f *domain.Fault
			if err != nil && !errors.As(err, &f) {
				t.Fatalf("refused with %v, which isn't a fault", err)
			}
			if err == nil {
				made[m.Kind]++
				s.addUp(t)
				broughtIn(t, d, m)
			}
		}
	})
	if testing.Short() {
		return
	}
	for _, k := range stock.Kinds {
		if made[k] == 0 {
			t.Errorf("no %s was ever made", k)
		}
	}
}

// broughtIn compares what a move brings in from outside with what its draft says.
func broughtIn(t *rapid.T, d stock.Draft, m stock.Move) {
	want := money.Zero(eur)
	switch m.Kind {
	case stock.Receipt, stock.Adjustment:
		want = *d.Value
	case stock.Count, stock.Reversal:
		return // what turns up comes from outside, and goes there again
	case stock.Issue, stock.Return, stock.SentBack, stock.Scrap, stock.Recosting:
	}
	if m.Amount() != want {
		t.Fatalf("a move of the kind %s brings in %s, want %s", m.Kind, m.Amount(), want)
	}
}

// drawn are the kinds of move to draw, those twice and more that seldom can be made.
var drawn = append(
	slices.Clone(stock.Kinds), stock.Issue, stock.Return, stock.Return, stock.Scrap,
)

func drawDraft(t *rapid.T, s *shelf) stock.Draft {
	d := stock.Draft{
		Kind: rapid.SampledFrom(drawn).Draw(t, "kind"), Note: "so it is",
		On: monday.AddDays(rapid.IntRange(0, 4).Draw(t, "day")),
	}
	amount := money.FromMinor(rapid.Int64Range(-500, 5000).Draw(t, "value"), eur)
	most := int64(300)
	if d.Kind == stock.Return || d.Kind == stock.SentBack || d.Kind == stock.Scrap {
		most = 30 // or hardly any is of no more than was issued or is there
	}
	q := decimal.New(rapid.Int64Range(0, most).Draw(t, "quantity"), -1)
	switch d.Kind {
	case stock.Receipt:
		d.Quantity, d.Value = &q, &amount
		d.Unit = rapid.SampledFrom([]string{"", "m", "coil", "kg"}).Draw(t, "unit")
	case stock.Issue:
		d.Quantity = &q
		d.Job = rapid.SampledFrom([]uuid.UUID{pianoA, pianoB}).Draw(t, "job")
	case stock.Scrap:
		d.Quantity = &q
		d.CountsAs = rapid.SampledFrom([]stock.CountsAs{stock.NormalLoss, stock.AbnormalLoss}).
			Draw(t, "loss")
	case stock.Count:
		d.Quantity = &q
	case stock.Return:
		d.Quantity, d.Of = &q, drawMove(t, s, stock.Issue)
	case stock.SentBack:
		d.Quantity, d.Of = &q, drawMove(t, s, stock.Receipt)
	case stock.Adjustment:
		d.Value, d.Of = &amount, drawMove(t, s, stock.Receipt)
	case stock.Reversal:
		d.Of = drawMove(t, s, rapid.SampledFrom(stock.Kinds).Draw(t, "kind reversed"))
	case stock.Recosting:
	}
	return d
}

// drawMove draws a move to refer to, most often one of a kind.
func drawMove(t *rapid.T, s *shelf, k stock.Kind) uuid.UUID {
	fitting := slices.DeleteFunc(slices.Clone(s.moves), func(m stock.Move) bool { return m.Kind != k })
	if len(fitting) == 0 || rapid.IntRange(0, 9).Draw(t, "stray") == 0 {
		fitting = s.moves
	}
	if len(fitting) == 0 {
		return uuid.Max
	}
	return rapid.SampledFrom(fitting).Draw(t, "of").ID
}

func (s *shelf) addUp(t *rapid.T) {
	m := s.moves[len(s.moves)-1]
	held, quantity := money.Zero(eur), decimal.Zero
	for _, e := range s.entries() {
		if e.OutOn == uuid.Nil {
			held, quantity = held.Add(e.Value), quantity.Add(e.Quantity)
		}
	}
	if held != m.HeldValue || !quantity.Equal(m.Held) || m.Number != int64(len(s.moves)) {
		t.Fatalf("move %d holds %s for %s, the entries %s for %s", m.Number, m.Held, m.HeldValue,
			quantity, held)
	}
	if held.Sign() < 0 || quantity.IsZero() && !held.IsZero() {
		t.Fatalf("%s are held for %s", quantity, held)
	}
	for day := monday; day.DaysUntil(s.today) >= 0; day = day.AddDays(1) {
		if s.heldOn(day).IsNegative() {
			t.Fatalf("%s were held on %s", s.heldOn(day), day)
		}
	}
	for _, in := range s.moves {
		l := s.layer(in.ID)
		if l.Quantity.IsNegative() || l.Value.Sign() < 0 || l.Quantity.IsZero() && !l.Value.IsZero() {
			t.Fatalf("%s of move %d are in stock for %s", l.Quantity, in.Number, l.Value)
		}
	}
	for _, out := range s.moves {
		for _, in := range s.moves {
			if l := s.out(out.ID, in.ID); l.Quantity.IsNegative() {
				t.Fatalf("%s are out on move %d", l.Quantity, out.Number)
			}
		}
	}
}
