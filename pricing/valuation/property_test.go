package valuation_test

import (
	"math/big"
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// history is a random life of one part, told to the package and to the model of units. Quantities
// are quarters, so that they have decimals.
type history struct {
	t     *rapid.T
	stock valuation.Stock
	model unitModel
	// out is what is out of each issue, by its place in the model, line by line.
	out map[int][]valuation.Line
	// received is what all receipts and adjustments have brought in.
	received    money.Amount
	receipts    int
	lines       int // an upper bound of how often something was rounded
	wholeCents  bool
	noAdjusting bool
}

var quarter = decimal.RequireFromString("0.25")

func quarters(n int) decimal.Decimal { return decimal.NewFromInt(int64(n)).Mul(quarter) }

func newHistory(t *rapid.T) *history {
	m := rapid.SampledFrom(valuation.Methods).Draw(t, "method")
	return &history{
		t: t, stock: valuation.NewStock(m, eur), model: unitModel{method: m},
		out: map[int][]valuation.Line{}, received: money.Zero(eur),
	}
}

var eur = money.MustCurrency("EUR")

func layerID(receipt int) uuid.UUID { return uuid.UUID{14: byte(receipt >> 8), 15: byte(receipt)} }

// step draws one move and makes it.
func (h *history) step() {
	held := len(h.model.at(0))
	switch rapid.IntRange(0, 9).Draw(h.t, "move") {
	case 0, 1, 2:
		h.receive()
	case 3, 4, 5:
		if held > 0 {
			h.take(rapid.IntRange(1, held).Draw(h.t, "taken"))
		}
	case 6, 7:
		h.putBack()
	case 8:
		h.sendBack()
	case 9:
		if !h.noAdjusting {
			h.adjust()
		}
	}
}

func (h *history) receive() {
	h.receipts++
	n := rapid.IntRange(1, 40).Draw(h.t, "received")
	minor := rapid.Int64Range(int64(n), 1_000_000).Draw(h.t, "value")
	if h.wholeCents {
		minor -= minor % int64(n)
	}
	value := money.FromMinor(minor, eur)
	h.did(h.stock.Receive(layerID(h.receipts), quarters(n), value))
	h.model.receive(h.receipts, n, minor)
	h.received = h.received.Add(value)
}

func (h *history) take(n int) {
	place := len(h.out) + 1
	h.out[place] = taken(h.did(h.stock.Take(quarters(n))))
	h.model.take(n, place)
}

func (h *history) sendBack() {
	if h.receipts == 0 {
		return
	}
	receipt := rapid.IntRange(1, h.receipts).Draw(h.t, "receipt")
	left := h.model.count(receipt, 0)
	if left == 0 {
		return
	}
	n, place := rapid.IntRange(1, left).Draw(h.t, "sent back"), len(h.out)+1
	h.out[place] = taken(h.did(h.stock.TakeFrom(layerID(receipt), quarters(n))))
	h.model.takeFrom(receipt, n, place)
}

func (h *history) putBack() {
	if len(h.out) == 0 {
		return
	}
	place := rapid.IntRange(1, len(h.out)).Draw(h.t, "issue")
	out := len(h.model.at(place))
	if out == 0 {
		return
	}
	n := rapid.IntRange(1, out).Draw(h.t, "put back")
	h.out[place] = less(h.out[place], h.did(h.stock.PutBack(h.out[place], quarters(n))))
	h.model.putBack(place, n)
}

func (h *history) adjust() {
	if h.receipts == 0 {
		return
	}
	receipt := rapid.IntRange(1, h.receipts).Draw(h.t, "receipt")
	minor := rapid.Int64Range(0, 100_000).Draw(h.t, "freight")
	type part struct{ place, line int }
	var gone []decimal.Decimal
	var where []part
	for place := 1; place <= len(h.out); place++ {
		for i, l := range h.out[place] {
			if l.Layer == layerID(receipt) {
				gone, where = append(gone, l.Quantity), append(where, part{place, i})
			}
		}
	}
	amount := money.FromMinor(minor, eur)
	after, _, parts, err := h.stock.Adjust(layerID(receipt), amount, gone)
	if err != nil {
		h.t.Fatal(err)
	}
	h.stock, h.received, h.lines = after, h.received.Add(amount), h.lines+len(parts)+1
	for i, w := range where {
		line := &h.out[w.place][w.line]
		line.Value = line.Value.Add(parts[i])
	}
	h.model.adjust(receipt, minor)
}

func (h *history) did(after valuation.Stock, lines []valuation.Line, err error) []valuation.Line {
	if err != nil {
		h.t.Fatal(err)
	}
	h.stock, h.lines = after, h.lines+len(lines)+1
	return lines
}

// taken turns the lines of a move out of stock into what is out.
func taken(lines []valuation.Line) []valuation.Line {
	out := make([]valuation.Line, len(lines))
	for i, l := range lines {
		out[i] = valuation.Line{Layer: l.Layer, Quantity: l.Quantity.Neg(), Value: l.Value.Neg()}
	}
	return out
}

// less returns what is still out after some of it came back.
func less(out, back []valuation.Line) []valuation.Line {
	for _, b := range back {
		for i := range out {
			if out[i].Layer == b.Layer {
				out[i].Quantity = out[i].Quantity.Sub(b.Quantity)
				out[i].Value = out[i].Value.Sub(b.Value)
			}
		}
	}
	return out
}

// Quantities agree with the model of units to the last quarter, and values up to what rounding may
// have moved: half a cent a line, or a cent where a value was split.
func TestEveryPlaceHoldsWhatTheModelOfUnitsHolds(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := newHistory(t)
		for range rapid.IntRange(1, 40).Draw(t, "moves") {
			h.step()
			h.compare(0, h.stock.Quantity(), h.stock.Value())
			for place, lines := range h.out {
				q, v := valuation.Total(eur, lines)
				h.compare(place, q, v)
			}
		}
	})
}

func (h *history) compare(place int, q decimal.Decimal, v money.Amount) {
	if want := quarters(len(h.model.at(place))); !q.Equal(want) {
		h.t.Fatalf("place %d holds %s, want %s", place, q, want)
	}
	off := new(big.Rat).Sub(new(big.Rat).SetInt64(v.Minor()), h.model.cost(place))
	if off.Abs(off).Cmp(new(big.Rat).SetInt64(int64(h.lines))) > 0 {
		h.t.Fatalf("place %d is worth %s, %s cents off after %d lines", place, v, off.FloatString(2),
			h.lines)
	}
}

// Where every unit costs whole cents FIFO never rounds, so that it agrees with the model exactly.
func TestFIFOOfWholeCentsIsTheModelToTheCent(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := newHistory(t)
		h.stock = valuation.NewStock(valuation.FIFO, eur)
		h.model.method, h.wholeCents, h.noAdjusting = valuation.FIFO, true, true
		for range rapid.IntRange(1, 40).Draw(t, "moves") {
			h.step()
			h.lines = 0
			h.compare(0, h.stock.Quantity(), h.stock.Value())
			for place, lines := range h.out {
				q, v := valuation.Total(eur, lines)
				h.compare(place, q, v)
			}
		}
	})
}

// What came in is what is held and what is out, to the cent, after every move; no place holds value
// without a quantity, and with at least a cent to a quarter none holds a quantity without value.
func TestNothingIsLostOrInvented(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := newHistory(t)
		for range rapid.IntRange(1, 60).Draw(t, "moves") {
			h.step()
			total := h.stock.Value()
			h.sound(h.stock.Quantity(), h.stock.Value())
			for _, lines := range h.out {
				for _, l := range lines {
					h.sound(l.Quantity, l.Value)
					total = total.Add(l.Value)
				}
			}
			if total != h.received {
				t.Fatalf("%s came in, %s is held or out", h.received, total)
			}
			held := money.Zero(eur)
			for _, l := range h.stock.Layers() {
				if h.model.method == valuation.FIFO {
					h.sound(l.Quantity, l.Value)
				}
				held = held.Add(l.Value)
			}
			if h.model.method == valuation.FIFO && held != h.stock.Value() {
				t.Fatalf("the layers hold %s, the stock %s", held, h.stock.Value())
			}
		}
	})
}

func (h *history) sound(q decimal.Decimal, v money.Amount) {
	if q.IsNegative() || v.Sign() < 0 || q.IsZero() != v.IsZero() {
		h.t.Fatalf("%s are worth %s", q, v)
	}
}

// An issue that comes back in full, in any number of parts, leaves the stock as it was: so does any
// move that is reversed at once.
func TestAnIssueAndItsReturnLeaveTheStockAsItWas(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		h := newHistory(t)
		h.receive()
		for range rapid.IntRange(0, 20).Draw(t, "moves before") {
			h.step()
		}
		held := len(h.model.at(0))
		if held == 0 {
			return
		}
		before := h.stock
		n := rapid.IntRange(1, held).Draw(t, "issued")
		issued := h.did(h.stock.Take(quarters(n)))
		reversed, _, err := h.stock.Reverse(issued)
		if err != nil {
			t.Fatal(err)
		}
		sameStock(t, reversed, before)
		out := taken(issued)
		for n > 0 {
			part := rapid.IntRange(1, n).Draw(t, "returned")
			out = less(out, h.did(h.stock.PutBack(out, quarters(part))))
			n -= part
		}
		sameStock(t, h.stock, before)
	})
}

func sameStock(t *rapid.T, got, want valuation.Stock) {
	a, b := got.Layers(), want.Layers()
	same := len(a) == len(b) && got.Value() == want.Value()
	for i := range a {
		same = same && a[i].ID == b[i].ID && a[i].Quantity.Equal(b[i].Quantity) &&
			a[i].Value == b[i].Value
	}
	if !same {
		t.Fatalf("got %v for %s, want %v for %s", a, got.Value(), b, want.Value())
	}
}
