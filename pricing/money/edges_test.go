package money_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

// Trailing zeros don't count, so that one hour written with 64 decimals is one hour; one zero more
// is refused before anybody expands it.
func TestZerosAfterThePointCountForNothing(t *testing.T) {
	t.Parallel()
	one := "1." + strings.Repeat("0", 64)
	for _, d := range []decimal.Decimal{
		decimal.RequireFromString(one), decimal.New(0, 64), decimal.New(0, -64),
	} {
		if err := money.Quantity.Check(d); err != nil {
			t.Errorf("a decimal with exponent %d: %v", d.Exponent(), err)
		}
	}
	var digits *money.DigitsError
	if err := money.Quantity.Check(decimal.RequireFromString(one + "0")); !errors.As(err, &digits) {
		t.Errorf("65 decimals: %v, want *DigitsError", err)
	}
}

func TestARefusedDecimalIsQuotedAsItWasGiven(t *testing.T) {
	t.Parallel()
	bound := money.Digits{Precision: 9, Scale: 4}
	for text, want := range map[string]string{
		"123456.5": "number 123456.5: must have at most 5 digits before and 4 after the point",
		"-0.00001": "number -0.00001: must have at most 5 digits before and 4 after the point",
	} {
		if err := bound.Check(decimal.RequireFromString(text)); err == nil || err.Error() != want {
			t.Errorf("got %v\nwant %s", err, want)
		}
	}
	if err := bound.Check(decimal.New(1, -64)); err == nil ||
		strings.Contains(err.Error(), "exponent") {
		t.Errorf("a decimal with 64 decimals: %v", err)
	}
	code := strings.Repeat("E", 64)
	_, err := money.ParseCurrency(code)
	if err == nil || !strings.Contains(err.Error(), `"`+code+`"`) {
		t.Errorf("a code of 64 letters isn't quoted whole: %v", err)
	}
	_, err = money.ParseCurrency(code + "R")
	if err == nil || !strings.Contains(err.Error(), `"`+code+`…"`) {
		t.Errorf("a code of 65 letters isn't cut: %v", err)
	}
}

// 2^33 × 2^33 ÷ 4 is 2^64: the quotient itself has no room, before any limit is looked at.
func TestAShareThatLeaves64BitsIsOutOfRange(t *testing.T) {
	t.Parallel()
	var tooLarge *money.RangeError
	got, err := money.FromMinor(1<<33, pound).MulRatio(1<<33, 4, money.Down)
	if !errors.As(err, &tooLarge) {
		t.Errorf("got %v, %v; want *RangeError", got, err)
	}
}

func TestWeightsMayBeAsSmallAndAsLargeAs64Digits(t *testing.T) {
	t.Parallel()
	a := money.FromMinor(100, pound)
	for _, exponent := range []int32{-64, 64} {
		parts, err := a.Split([]decimal.Decimal{decimal.New(3, exponent), decimal.New(1, exponent)})
		if err != nil || parts[0].Minor() != 75 || parts[1].Minor() != 25 {
			t.Errorf("three to one in units of 10^%d: %v, %v", exponent, parts, err)
		}
	}
	for _, w := range []decimal.Decimal{decimal.New(1, 65), decimal.New(1, -65)} {
		_, err := a.Split([]decimal.Decimal{w})
		if err == nil || !strings.HasPrefix(err.Error(), "split, line 1: ") {
			t.Errorf("a weight with exponent %d in the first line: %v", w.Exponent(), err)
		}
	}
}
