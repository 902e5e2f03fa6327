package valuation

import (
	"slices"

	"bentside/pricing/money"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

// Receive adds a new layer of a quantity that costs value, free of charge where that is zero. It
// returns a [*QuantityError] unless the quantity is more than zero, a [*ValueError] for a negative
// value and a [*money.MismatchError] for another currency.
func (s Stock) Receive(
	layer uuid.UUID, q decimal.Decimal, value money.Amount,
) (Stock, []Line, error) {
	if err := s.check(q, value); err != nil {
		return s, nil, err
	}
	if value.Sign() < 0 {
		return s, nil, &ValueError{Value: value}
	}
	return s.move([]Line{{Layer: layer, Quantity: q, Value: value}})
}

// Take takes a quantity out of stock, oldest layer first: an issue, scrap, or what a count misses.
// It returns a [*ShortError] for more than is held.
func (s Stock) Take(q decimal.Decimal) (Stock, []Line, error) {
	if err := s.check(q, s.value); err != nil {
		return s, nil, err
	}
	held := s.Quantity()
	if q.GreaterThan(held) {
		return s, nil, &ShortError{Wanted: q, Held: held}
	}
	var taken []Line
	for left, i := q, 0; left.IsPositive(); i++ {
		l := s.layers[i]
		part := decimal.Min(left, l.Quantity)
		if !part.IsPositive() {
			continue
		}
		value := money.Zero(s.value.Currency())
		if s.method == FIFO {
			value = share(l.Value, part, l.Quantity)
		}
		taken = append(taken, Line{Layer: l.ID, Quantity: part, Value: value})
		left = left.Sub(part)
	}
	if s.method == MovingAverage {
		if err := spread(share(s.value, q, held), taken); err != nil {
			return s, nil, err
		}
	}
	return s.move(negated(taken))
}

// TakeFrom takes a quantity out of one layer, at what it is held at: what goes back to whoever sent
// it. What the supplier pays for it may differ, and doesn't bear on the stock. It returns a
// [*ShortError] for more than is left of the layer.
func (s Stock) TakeFrom(layer uuid.UUID, q decimal.Decimal) (Stock, []Line, error) {
	if err := s.check(q, s.value); err != nil {
		return s, nil, err
	}
	l, _ := s.Layer(layer)
	if q.GreaterThan(l.Quantity) {
		return s, nil, &ShortError{Wanted: q, Held: l.Quantity}
	}
	value, held := l.Value, l.Quantity
	if s.method == MovingAverage {
		value, held = s.value, s.Quantity()
	}
	return s.move([]Line{{Layer: layer, Quantity: q.Neg(), Value: share(value, q, held).Neg()}})
}

// PutBack returns a quantity of an issue to the layers that it came from, at what it was issued at;
// what was taken last comes back first. Out is what is still out of the issue, layer by layer in
// the order of taking, with positive quantities. It returns a [*ShortError] for more than is out.
func (s Stock) PutBack(out []Line, q decimal.Decimal) (Stock, []Line, error) {
	if err := s.check(q, s.value); err != nil {
		return s, nil, err
	}
	total, _ := Total(s.value.Currency(), out)
	if q.GreaterThan(total) {
		return s, nil, &ShortError{Wanted: q, Held: total}
	}
	var back []Line
	left := q
	for _, l := range slices.Backward(out) {
		part := decimal.Min(left, l.Quantity)
		if !part.IsPositive() {
			continue
		}
		back = append(back, Line{
			Layer: l.Layer, Quantity: part, Value: share(l.Value, part, l.Quantity),
		})
		left = left.Sub(part)
	}
	return s.move(back)
}

// Reverse undoes a move by its lines. It returns a [*SpentError] where what the move brought in has
// moved on since.
func (s Stock) Reverse(lines []Line) (Stock, []Line, error) { return s.move(negated(lines)) }

// Adjust adds to what one layer has cost, or takes from it where the amount is negative: freight
// that is billed later, say, or a price that turns out otherwise. It follows the quantity: the
// amount is split, by largest remainder, over what is left of the layer and what has gone to each
// place. The first part goes into stock, the others are returned in the order of gone. It returns a
// [*QuantityError] where nothing of the layer is left or gone anywhere, and a [*SpentError] where
// the stock would be worth less than nothing.
func (s Stock) Adjust(
	layer uuid.UUID, amount money.Amount, gone []decimal.Decimal,
) (after Stock, line Line, parts []money.Amount, err error) {
	if err := s.check(one, amount); err != nil {
		return s, Line{}, nil, err
	}
	l, _ := s.Layer(layer)
	weights := append([]decimal.Decimal{l.Quantity}, gone...)
	if !slices.ContainsFunc(weights, decimal.Decimal.IsPositive) {
		return s, Line{}, nil, &QuantityError{}
	}
	parts, err = amount.Split(weights)
	if err != nil {
		return s, Line{}, nil, err
	}
	line = Line{Layer: layer, Value: parts[0]}
	after, err = s.post([]Line{line})
	return after, line, parts[1:], err
}

var one = decimal.NewFromInt(1)

func (s Stock) move(lines []Line) (Stock, []Line, error) {
	after, err := s.post(lines)
	if err != nil {
		return s, nil, err
	}
	return after, lines, nil
}

func (s Stock) check(q decimal.Decimal, value money.Amount) error {
	if value.Currency() != s.value.Currency() {
		return &money.MismatchError{Want: s.value.Currency(), Got: value.Currency()}
	}
	if !q.IsPositive() {
		return &QuantityError{Quantity: q}
	}
	return nil
}

// spread splits a value over lines by their quantities.
func spread(value money.Amount, lines []Line) error {
	weights := make([]decimal.Decimal, len(lines))
	for i, l := range lines {
		weights[i] = l.Quantity
	}
	parts, err := value.Split(weights)
	for i := range parts {
		lines[i].Value = parts[i]
	}
	return err
}

func negated(lines []Line) []Line {
	out := make([]Line, len(lines))
	for i, l := range lines {
		out[i] = Line{Layer: l.Layer, Quantity: l.Quantity.Neg(), Value: l.Value.Neg()}
	}
	return out
}
