package app_test

import (
	"context"
	"math/rand/v2"
	"sync"
	"sync/atomic"
	"testing"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"
)

// newPart adds a part of a class of its own, counted by the piece.
func newPart(t *testing.T, a *app.App, who app.Actor, code string, m valuation.Method) uuid.UUID {
	t.Helper()
	class, err := a.AddPartClass(t.Context(), who, stock.Class{Name: "class of " + code, Method: m})
	if err != nil {
		t.Fatal(err)
	}
	part, err := a.AddPart(t.Context(), who, stock.Part{
		Code: code, Name: "a part", Class: class.Value.ID, Unit: "piece",
	})
	if err != nil {
		t.Fatal(err)
	}
	return part.Value.ID
}

func receipt(part uuid.UUID, pieces int64, minor int64) stock.Draft {
	q, v := decimal.NewFromInt(pieces), money.FromMinor(minor, money.MustCurrency("EUR"))
	return stock.Draft{Part: part, Kind: stock.Receipt, Quantity: &q, Value: &v}
}

func issueOf(part uuid.UUID, pieces int64) stock.Draft {
	q := decimal.NewFromInt(pieces)
	return stock.Draft{Part: part, Kind: stock.Issue, Quantity: &q, Note: "for the bench"}
}

func TestOfManyWhoIssueTheLastPieceAtOnceOneGetsIt(t *testing.T) {
	t.Parallel()
	const hands = 8
	a, db := opened(t, hands, atMorning)
	who := founded(t, a)
	part := newPart(t, a, who, "F-1", valuation.FIFO)
	if _, err := a.MoveStock(t.Context(), who, receipt(part, 1, 700)); err != nil {
		t.Fatal(err)
	}
	errs := make([]error, hands)
	var wg sync.WaitGroup
	for i := range hands {
		wg.Go(func() { _, errs[i] = a.MoveStock(t.Context(), who, issueOf(part, 1)) })
	}
	wg.Wait()
	got := 0
	for _, err := range errs {
		switch {
		case err == nil:
			got++
		case faultKind(err) != domain.Conflict:
			t.Errorf("refused with %v, want a conflict", err)
		case err.Error() != "only 0 piece are in stock; #/quantity: only 0 piece are in stock":
			t.Errorf("refused with %q, want it to say how much there is", err)
		}
	}
	if got != 1 {
		t.Errorf("%d of %d got the last piece", got, hands)
	}
	wantKeptTotals(t, db)
}

// Eight hands move two parts at once, at random and with much that is refused. What is kept of each
// part is the sum of its moves, and of each receipt the sum of its entries.
func TestTheKeptTotalsAreTheSumsOfTheMovesWhoeverMoves(t *testing.T) {
	t.Parallel()
	const hands, each = 8, 40
	a, db := opened(t, hands, atMorning)
	who := founded(t, a)
	parts := []uuid.UUID{
		newPart(t, a, who, "F-1", valuation.FIFO), newPart(t, a, who, "M-1", valuation.MovingAverage),
	}
	var made sync.Map // the moves of each part, so that others can refer to them
	var accepted, refused atomic.Int64
	var wg sync.WaitGroup
	for hand := range hands {
		wg.Go(func() {
			r := rand.New(rand.NewPCG(uint64(hand), 1))
			for range each {
				part := parts[r.IntN(len(parts))]
				m, err := a.MoveStock(t.Context(), who, randomDraft(r, part, &made))
				switch kind := faultKind(err); {
				case err == nil:
					made.Store(m.ID, m)
					accepted.Add(1)
				case kind == domain.Conflict || kind == domain.Invalid:
					refused.Add(1)
				default:
					t.Errorf("refused with %v", err)
				}
			}
		})
	}
	wg.Wait()
	if accepted.Load() < hands*each/4 || refused.Load() == 0 {
		t.Errorf("%d moves were made and %d refused", accepted.Load(), refused.Load())
	}
	wantKeptTotals(t, db)
	wantReplay(t, a, who, parts, accepted.Load())
}

func randomDraft(r *rand.Rand, part uuid.UUID, made *sync.Map) stock.Draft {
	d := receipt(part, 1+r.Int64N(9), 1+r.Int64N(5000))
	d.Kind, d.Note = stock.Kinds[r.IntN(len(stock.Kinds))], "so it is"
	d.On = domain.DateOf(morning).AddDays(-r.IntN(3))
	switch d.Kind {
	case stock.Receipt:
		return d
	case stock.Adjustment:
		d.Quantity = nil
	case stock.Reversal:
		d.Quantity, d.Value = nil, nil
	case stock.Issue, stock.Return, stock.SentBack, stock.Count, stock.Scrap, stock.Recosting:
		d.Value = nil
	}
	if d.Kind == stock.Scrap {
		d.CountsAs = stock.AbnormalLoss
	}
	if d.Kind == stock.Issue || d.Kind == stock.Count || d.Kind == stock.Scrap {
		return d
	}
	fits := map[stock.Kind]stock.Kind{
		stock.Return: stock.Issue, stock.SentBack: stock.Receipt, stock.Adjustment: stock.Receipt,
	}[d.Kind]
	d.Of = uuid.Max
	made.Range(func(_, x any) bool {
		m, _ := x.(stock.Move)
		if m.Part == part && (fits == "" || m.Kind == fits) {
			d.Of = m.ID
		}
		return m.Part != part || d.Of == uuid.Max || r.IntN(3) > 0
	})
	return d
}

// wantKeptTotals compares holdings and layers with what moves and entries add up to.
func wantKeptTotals(t *testing.T, db *pgtest.DB) {
	t.Helper()
	c, err := pgx.Connect(t.Context(), db.Owner)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close(context.WithoutCancel(t.Context())) //nolint:errcheck // the test has its answer
	for what, sql := range map[string]string{
		"holdings that aren't the sum of their moves": `
			SELECT count(*) FROM holdings h
			JOIN LATERAL (SELECT count(*) AS moves, coalesce(sum(quantity), 0) AS quantity,
			  coalesce(sum(value), 0) AS value, coalesce(max(number), 0) AS last
			  FROM stock_moves WHERE part_id = h.part_id) m ON true
			WHERE (h.moves, h.moves, h.quantity, h.value) <> (m.moves, m.last, m.quantity, m.value)`,
		"moves that aren't the sum of their entries in stock": `
			SELECT count(*) FROM stock_moves m
			JOIN LATERAL (SELECT coalesce(sum(quantity), 0) AS quantity, coalesce(sum(value), 0) AS value
			  FROM stock_entries WHERE move_id = m.id AND out_on IS NULL) e ON true
			WHERE (m.quantity, m.value) <> (e.quantity, e.value)`,
		"layers that aren't the sum of their entries": `
			SELECT count(*) FROM stock_layers l
			JOIN parts p ON p.id = l.part_id
			JOIN part_classes c ON c.id = p.class_id
			JOIN LATERAL (SELECT sum(quantity) AS quantity, sum(value) AS value
			  FROM stock_entries WHERE layer_id = l.id AND out_on IS NULL) e ON true
			WHERE l.quantity <> e.quantity
			OR l.value <> CASE c.method WHEN 'fifo' THEN e.value ELSE 0 END`,
		"moves out that have less than nothing out": `
			SELECT count(*) FROM (
			  SELECT FROM stock_entries WHERE out_on IS NOT NULL GROUP BY out_on, layer_id
			  HAVING sum(quantity) < 0) AS short`,
		"moves that lose or invent value": `
			SELECT count(*) FROM stock_moves m
			JOIN LATERAL (SELECT sum(value) AS value FROM stock_entries WHERE move_id = m.id) e ON true
			WHERE m.kind IN ('issue', 'return', 'sent_back', 'scrap', 'recosting') AND e.value <> 0`,
	} {
		var n int
		if err := c.QueryRow(t.Context(), sql).Scan(&n); err != nil {
			t.Fatalf("%s: %v", what, err)
		}
		if n != 0 {
			t.Errorf("%d %s", n, what)
		}
	}
}

// wantReplay adds the moves of each part up in their order, and compares with what each says was
// there after it.
func wantReplay(t *testing.T, a *app.App, who app.Actor, parts []uuid.UUID, all int64) {
	t.Helper()
	recosted := 0
	for _, part := range parts {
		moves, err := a.Read(t.Context(), who).StockMoves(t.Context(), part, postgres.Whole)
		if err != nil {
			t.Fatal(err)
		}
		held, value := decimal.Zero, money.Zero(money.MustCurrency("EUR"))
		for i, m := range moves {
			if m.Kind == stock.Recosting {
				recosted++
			} else {
				all--
			}
			held, value = held.Add(m.Quantity), value.Add(m.Value)
			if m.Number != int64(i+1) || !m.Held.Equal(held) || m.HeldValue != value {
				t.Fatalf("move %d says %s for %s were there, the moves up to it %s for %s", m.Number, m.Held,
					m.HeldValue, held, value)
			}
		}
	}
	if all != 0 {
		t.Errorf("%d moves more were accepted than are kept", all)
	}
	if recosted == 0 && !testing.Short() {
		t.Error("no receipt was ever entered so late that others cost something else")
	}
}
