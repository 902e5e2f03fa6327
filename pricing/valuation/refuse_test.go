package valuation_test

import (
	"errors"
	"testing"

	"bentside/pricing/money"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestWhatCannotBeMovedIsRefusedWithTheFinding(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "EUR")
		felt := b.buy("10", "50.00")
		issued := b.issue("4", "20.00")
		s, yen := b.stock, money.MustParse("5 JPY")
		var short *valuation.ShortError
		var quantity *valuation.QuantityError
		var value *valuation.ValueError
		var spent *valuation.SpentError
		var mismatch *money.MismatchError
		for name, c := range map[string]struct {
			err  error
			want any
		}{
			"taking more than is held":    {third(s.Take(dec("6.001"))), &short},
			"taking nothing":              {third(s.Take(dec("0"))), &quantity},
			"taking less than nothing":    {third(s.Take(dec("-1"))), &quantity},
			"receiving nothing":           {third(s.Receive(uuid.UUID{9}, dec("0"), b.amount("1"))), &quantity},
			"receiving at less than free": {third(s.Receive(uuid.UUID{9}, dec("1"), b.amount("-1"))), &value},
			"receiving in another currency": {
				third(s.Receive(uuid.UUID{9}, dec("1"), yen)), &mismatch,
			},
			"sending back more than is left": {third(s.TakeFrom(felt, dec("7"))), &short},
			"sending back what never came":   {third(s.TakeFrom(uuid.UUID{9}, dec("1"))), &short},
			"returning more than is out":     {third(s.PutBack(issued, dec("4.5"))), &short},
			"returning what is out nowhere":  {third(s.PutBack(nil, dec("1"))), &short},
			"reversing a receipt that has moved on": {
				third(s.Reverse([]valuation.Line{{Layer: felt, Quantity: dec("10"), Value: b.amount("50")}})),
				&spent,
			},
			"freight in another currency": {fourth(s.Adjust(felt, yen, nil)), &mismatch},
			"freight on what never came":  {fourth(s.Adjust(uuid.UUID{9}, b.amount("1"), nil)), &quantity},
			"a credit above what is held": {fourth(s.Adjust(felt, b.amount("-30.01"), nil)), &spent},
		} {
			if c.err == nil || !errors.As(c.err, c.want) {
				t.Errorf("%s, %s: got %v, want %T", m, name, c.err, c.want)
			}
		}
		b.holds("6", "30.00")
	}
}

func third[A, B any](_ A, _ B, err error) error { return err }

func fourth[A, B, C any](_ A, _ B, _ C, err error) error { return err }

func TestGoodsThatTurnUpAreWorthTheMeanOfWhatIsHeld(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "EUR")
		if _, err := b.stock.Worth(dec("1")); err == nil {
			t.Errorf("%s: goods have a worth where nothing is held", m)
		}
		b.buy("2", "10.00")
		b.buy("1", "10.00")
		if got, err := b.stock.Worth(dec("0.5")); err != nil || got != b.amount("3.33") {
			t.Errorf("%s: half a unit is worth %s, %v; want 3.33", m, got, err)
		}
		if _, err := b.stock.Worth(decimal.New(1, 14)); err == nil {
			t.Errorf("%s: an absurd quantity has a worth", m)
		}
	}
}

// A receipt is reversed while all of it is held, and under the moving average at what it cost.
func TestAReceiptIsReversedAtItsCost(t *testing.T) {
	t.Parallel()
	for _, m := range valuation.Methods {
		b := open(t, m, "EUR")
		b.buy("10", "10.00")
		after, lines, err := b.stock.Receive(uuid.UUID{2}, dec("10"), b.amount("30.00"))
		b.ok(err)
		if b.stock, _, err = after.Reverse(lines); err != nil {
			t.Fatal(err)
		}
		b.holds("10", "10.00")
	}
}

// Under the moving average its quantity may all be there while its value has gone with an issue.
func TestAReceiptIsNotReversedOnceItsValueHasMovedOn(t *testing.T) {
	t.Parallel()
	b := open(t, valuation.MovingAverage, "EUR")
	b.buy("10", "10.00")
	after, lines, err := b.stock.Receive(uuid.UUID{2}, dec("10"), b.amount("100.00"))
	b.ok(err)
	b.stock = after
	b.issue("10", "55.00")
	var spent *valuation.SpentError
	if _, _, err := b.stock.Reverse(lines); !errors.As(err, &spent) || spent.Layer != (uuid.UUID{2}) {
		t.Errorf("got %v, want a refusal", err)
	}
	b.holds("10", "55.00")
}
