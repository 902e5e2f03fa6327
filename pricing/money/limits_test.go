package money_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

var pound = money.MustCurrency("GBP")

// The limit itself is an amount, in every way in; one minor unit more is not.
func TestTheLimitItselfIsAnAmountAndOneMoreIsNot(t *testing.T) {
	t.Parallel()
	euro := money.MustCurrency("EUR")
	most, one := money.FromMinor(money.Limit, euro), money.FromMinor(1, euro)
	cent := decimal.New(1, -2)
	ways := map[string]func(more bool) (money.Amount, error){
		"rounded": func(more bool) (money.Amount, error) {
			d := most.Decimal()
			if more {
				d = d.Add(cent)
			}
			return money.Round(d, euro, money.HalfUp)
		},
		"rounded below nothing": func(more bool) (money.Amount, error) {
			d := most.Decimal().Neg()
			if more {
				d = d.Sub(cent)
			}
			a, err := money.Round(d, euro, money.HalfUp)
			if err != nil {
				return a, err
			}
			return a.Neg(), nil
		},
		"multiplied": func(more bool) (money.Amount, error) {
			if more {
				return most.MulRatio(money.Limit+1, money.Limit, money.HalfUp)
			}
			return most.MulRatio(3, 3, money.HalfUp)
		},
		"rounded up to it": func(more bool) (money.Amount, error) {
			if more { // a limit and a third
				return most.Add(one).MulRatio(3, 3, money.Up)
			}
			return money.FromMinor(3*money.Limit-1, euro).MulRatio(1, 3, money.Up)
		},
	}
	for name, way := range ways {
		if got, err := way(false); err != nil || got != most {
			t.Errorf("%s: got %v, %v; want the limit", name, got, err)
		}
		var beyond *money.RangeError
		if got, err := way(true); !errors.As(err, &beyond) {
			t.Errorf("%s: one more gives %v, %v; want a range error", name, got, err)
		}
	}
}

func TestAddingNothingLeavesAnyAmountAsItIs(t *testing.T) {
	t.Parallel()
	for _, minor := range []int64{-1 << 63, -1, 0, 1, 1<<63 - 1} {
		a := money.FromMinor(minor, pound)
		if a.Add(money.Zero(pound)) != a || a.Sub(money.Zero(pound)) != a {
			t.Errorf("%d with nothing added or taken off is %v, %v", minor, a.Add(money.Zero(pound)),
				a.Sub(money.Zero(pound)))
		}
	}
}

// A number may have as many characters as the longest text that is read, and not one more.
func TestATextIsReadUpToItsLongestLengthAndQuotedShortBeyondIt(t *testing.T) {
	t.Parallel()
	longest := "1." + strings.Repeat("0", 62)
	var syntax *money.SyntaxError
	_, err := money.Parse(longest, pound)
	if errors.As(err, &syntax) && strings.Contains(syntax.Reason, "characters long") {
		t.Errorf("64 characters are refused as too long: %v", err)
	}
	_, err = money.Parse(longest+"0", pound)
	if !errors.As(err, &syntax) || !strings.Contains(err.Error(), "at most 64 characters long") {
		t.Fatalf("65 characters: %v", err)
	}
	if quoted := strings.Count(err.Error(), "0"); quoted > 64 {
		t.Errorf("the error quotes all of it: %v", err)
	}
}

func TestErrorsOfSharesAndBoundsNameTheLineAndTheDigits(t *testing.T) {
	t.Parallel()
	_, err := money.FromMinor(100, pound).Split(
		[]decimal.Decimal{decimal.NewFromInt(1), decimal.NewFromInt(-1)},
	)
	if err == nil || !strings.HasPrefix(err.Error(), "split, line 2: ") {
		t.Errorf("a negative weight in the second line: %v", err)
	}
	if _, err = money.FromMinor(100, pound).Split(nil); err == nil ||
		!strings.HasPrefix(err.Error(), "split: ") {
		t.Errorf("nobody to share with: %v", err)
	}
	bound := money.Digits{Precision: 9, Scale: 4}
	err = bound.Check(decimal.RequireFromString("123456.5"))
	if err == nil || !strings.Contains(err.Error(), "at most 5 digits before and 4 after the point") {
		t.Errorf("six digits before the point: %v", err)
	}
	for _, d := range []decimal.Decimal{decimal.New(1, 65), decimal.New(1, -65)} {
		if err := bound.Check(d); err == nil || !strings.Contains(err.Error(), "exponent") {
			t.Errorf("a decimal with an exponent of %d: %v", d.Exponent(), err)
		}
	}
	if err := bound.Check(decimal.New(1, 64)); err == nil ||
		strings.Contains(err.Error(), "exponent") {
		t.Errorf("a decimal of 65 digits is written out: %v", err)
	}
}
