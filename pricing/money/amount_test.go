package money_test

import (
	"errors"
	"math"
	"testing"

	"bentside/pricing/money"
)

var (
	eur = money.MustCurrency("EUR")
	jpy = money.MustCurrency("JPY")
	kwd = money.MustCurrency("KWD")
	clf = money.MustCurrency("CLF")
)

func TestAmountIsWrittenWithItsCurrencysDecimals(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		amount money.Amount
		want   string
	}{
		{money.FromMinor(123450, eur), "1234.50 EUR"},
		{money.FromMinor(5, eur), "0.05 EUR"},
		{money.FromMinor(-5, eur), "-0.05 EUR"},
		{money.FromMinor(-123450, eur), "-1234.50 EUR"},
		{money.FromMinor(1500, jpy), "1500 JPY"},
		{money.FromMinor(-1, kwd), "-0.001 KWD"},
		{money.FromMinor(12345, clf), "1.2345 CLF"},
		{money.Zero(eur), "0.00 EUR"},
		{money.FromMinor(math.MinInt64, eur), "-92233720368547758.08 EUR"},
		{money.Amount{}, "no amount"},
	} {
		if got := c.amount.String(); got != c.want {
			t.Errorf("String() = %q, want %q", got, c.want)
		}
	}
}

func TestArithmetic(t *testing.T) {
	t.Parallel()
	a, b := money.MustParse("10.00 EUR"), money.MustParse("12.34 EUR")
	for _, c := range []struct {
		name      string
		got, want money.Amount
	}{
		{"sum", a.Add(b), money.FromMinor(2234, eur)},
		{"difference", a.Sub(b), money.FromMinor(-234, eur)},
		{"opposite", a.Neg(), money.FromMinor(-1000, eur)},
	} {
		if c.got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
	if a.Cmp(b) != -1 || b.Cmp(a) != 1 || a.Cmp(a) != 0 {
		t.Errorf("Cmp: %d %d %d, want -1 1 0", a.Cmp(b), b.Cmp(a), a.Cmp(a))
	}
	if a.Sign() != 1 || a.Neg().Sign() != -1 || money.Zero(eur).Sign() != 0 ||
		!money.Zero(eur).IsZero() {
		t.Error("Sign or IsZero is wrong")
	}
	if got := b.Decimal().String(); got != "12.34" {
		t.Errorf("Decimal() = %s, want 12.34", got)
	}
}

func TestBrokenPromisesPanicWithTheFinding(t *testing.T) {
	t.Parallel()
	a, yen := money.MustParse("1.00 EUR"), money.MustParse("1 JPY")
	largest, smallest := money.FromMinor(math.MaxInt64, eur), money.FromMinor(math.MinInt64, eur)
	var mismatch *money.MismatchError
	var tooLarge *money.RangeError
	for name, c := range map[string]struct {
		do   func()
		want any
	}{
		"adding two currencies":      {func() { a.Add(yen) }, &mismatch},
		"subtracting two currencies": {func() { a.Sub(yen) }, &mismatch},
		"comparing two currencies":   {func() { a.Cmp(yen) }, &mismatch},
		"adding no amounts":          {func() { money.Amount{}.Add(money.Amount{}) }, &mismatch},
		"sum above int64":            {func() { largest.Add(a) }, &tooLarge},
		"sum below int64":            {func() { smallest.Add(a.Neg()) }, &tooLarge},
		"difference below int64":     {func() { smallest.Sub(a) }, &tooLarge},
		"difference above int64":     {func() { largest.Sub(a.Neg()) }, &tooLarge},
		"opposite of the least":      {func() { smallest.Neg() }, &tooLarge},
	} {
		err := panicOf(c.do)
		if err == nil || !errors.As(err, c.want) {
			t.Errorf("%s: panicked with %v, want %T", name, err, c.want)
		}
	}
}

func panicOf(do func()) (err error) {
	defer func() { err, _ = recover().(error) }()
	do()
	return nil
}

func TestSumChecksWhatComesFromOutside(t *testing.T) {
	t.Parallel()
	one := money.MustParse("1.00 EUR")
	if got, err := money.Sum(eur, one, one.Neg(), one); err != nil || got != one {
		t.Errorf("Sum = %v, %v; want %v", got, err, one)
	}
	if got, err := money.Sum(eur); err != nil || got != money.Zero(eur) {
		t.Errorf("Sum of nothing = %v, %v; want zero", got, err)
	}
	var mismatch *money.MismatchError
	if _, err := money.Sum(eur, one, money.MustParse("1 JPY")); !errors.As(err, &mismatch) ||
		mismatch.Got != jpy {
		t.Errorf("Sum over two currencies: %v", err)
	}
	var tooLarge *money.RangeError
	if _, err := money.Sum(eur, money.FromMinor(math.MaxInt64, eur), one); !errors.As(err, &tooLarge) {
		t.Errorf("Sum above int64: %v", err)
	}
	var noCurrency *money.CurrencyError
	if _, err := money.Sum(money.Currency{}); !errors.As(err, &noCurrency) {
		t.Errorf("Sum without a currency: %v", err)
	}
}
