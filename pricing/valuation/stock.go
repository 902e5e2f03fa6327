package valuation

import (
	"slices"

	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Method says what a quantity costs that leaves the stock.
type Method string

// The methods that IAS 2.25 permits for interchangeable parts.
const (
	// FIFO costs what leaves as what was received first.
	FIFO Method = "fifo"
	// MovingAverage costs what leaves at the mean of all that is held, worked out anew at each
	// receipt.
	MovingAverage Method = "moving_average"
)

// Methods lists every method.
var Methods = []Method{FIFO, MovingAverage}

// Layer is what is left of one receipt. Under the moving average its value is zero: all value is in
// one pool.
type Layer struct {
	ID       uuid.UUID
	Quantity decimal.Decimal
	Value    money.Amount
}

// Line is what one move does to one layer: positive into stock, negative out of it.
type Line struct {
	Layer    uuid.UUID
	Quantity decimal.Decimal
	Value    money.Amount
}

// Stock is what is held of one part. It is never changed: a move returns the stock after it.
type Stock struct {
	method Method
	layers []Layer         // oldest first
	held   decimal.Decimal // the sum of the layers, kept, since adding them up takes longer with each
	value  money.Amount
}

// NewStock returns the stock of a part of which nothing was received yet, in one currency.
func NewStock(m Method, c money.Currency) Stock { return Stock{method: m, value: money.Zero(c)} }

// StockOf returns a stock that was kept as its layers, oldest first, and its value. Layers of which
// nothing is left may be left out, unless something is to come back to them.
func StockOf(m Method, layers []Layer, value money.Amount) Stock {
	s := Stock{method: m, layers: slices.Clone(layers), value: value}
	for _, l := range layers {
		s.held = s.held.Add(l.Quantity)
	}
	return s
}

// Layers returns the layers, oldest first, those of which nothing is left too.
func (s Stock) Layers() []Layer { return slices.Clone(s.layers) }

// Value returns what everything that is held costs.
func (s Stock) Value() money.Amount { return s.value }

// Quantity returns how much is held.
func (s Stock) Quantity() decimal.Decimal { return s.held }

// Layer returns a layer, and whether there is such a layer.
func (s Stock) Layer(id uuid.UUID) (Layer, bool) {
	for _, l := range s.layers {
		if l.ID == id {
			return l, true
		}
	}
	return Layer{}, false
}

// Worth returns what a quantity costs on the mean of what is held: what goods are valued at that
// turn up in a count. It returns a [*ShortError] where nothing is held and a [*money.RangeError]
// for an absurd value.
func (s Stock) Worth(q decimal.Decimal) (money.Amount, error) {
	held, c := s.Quantity(), s.value.Currency()
	if !held.IsPositive() {
		return money.Amount{}, &ShortError{Wanted: q, Held: held}
	}
	return money.Round(s.value.Decimal().Mul(q).DivRound(held, c.Decimals()), c, money.HalfUp)
}

// Total returns the sums of some lines in a currency.
func Total(c money.Currency, lines []Line) (decimal.Decimal, money.Amount) {
	quantity, value := decimal.Zero, money.Zero(c)
	for _, l := range lines {
		quantity, value = quantity.Add(l.Quantity), value.Add(l.Value)
	}
	return quantity, value
}

// share returns the part of a value that goes with q out of held, at most all of it, rounded half
// up. All of a quantity takes all of its value.
func share(value money.Amount, q, held decimal.Decimal) money.Amount {
	minor := decimal.NewFromInt(value.Minor()).Mul(q).DivRound(held, 0)
	return money.FromMinor(minor.IntPart(), value.Currency())
}

// post returns the stock after some lines. It returns a [*SpentError] where a layer doesn't hold
// what a line takes, or would hold value without a quantity.
func (s Stock) post(lines []Line) (Stock, error) {
	after := Stock{method: s.method, layers: slices.Clone(s.layers), held: s.held, value: s.value}
	for _, line := range lines {
		i := slices.IndexFunc(after.layers, func(l Layer) bool { return l.ID == line.Layer })
		if i < 0 {
			i = len(after.layers)
			after.layers = append(after.layers, Layer{ID: line.Layer, Value: money.Zero(s.value.Currency())})
		}
		l := &after.layers[i]
		l.Quantity = l.Quantity.Add(line.Quantity)
		after.held = after.held.Add(line.Quantity)
		if s.method == FIFO {
			l.Value = l.Value.Add(line.Value)
		}
		after.value = after.value.Add(line.Value)
		if l.Quantity.IsNegative() || l.Value.Sign() < 0 || l.Quantity.IsZero() && !l.Value.IsZero() {
			return s, &SpentError{Layer: line.Layer}
		}
	}
	if after.value.Sign() < 0 || after.Quantity().IsZero() && !after.value.IsZero() {
		return s, &SpentError{Layer: lines[len(lines)-1].Layer}
	}
	return after, nil
}
