package money_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/pricing/money"

	"github.com/shopspring/decimal"
)

func TestParseAcceptsTheOneSpelling(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text     string
		currency money.Currency
		want     int64
	}{
		{"1234.50", eur, 123450},
		{"-0.05", eur, -5},
		{"0.00", eur, 0},
		{"1500", jpy, 1500},
		{"0", jpy, 0},
		{"1.234", kwd, 1234},
		{"0.0001", clf, 1},
		{"10000000000000.00", eur, money.Limit},
	} {
		got, err := money.Parse(c.text, c.currency)
		if want := money.FromMinor(c.want, c.currency); err != nil || got != want {
			t.Errorf("Parse(%q, %v) = %v, %v; want %v", c.text, c.currency, got, err, want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	var syntax *money.SyntaxError
	var decimals *money.DecimalsError
	var tooLarge *money.RangeError
	var noCurrency *money.CurrencyError
	for _, c := range []struct {
		text     string
		currency money.Currency
		want     any
	}{
		{"1234.5", eur, &decimals},
		{"1234", eur, &decimals},
		{"1234.500", eur, &decimals},
		{"1500.00", jpy, &decimals},
		{"1.23", kwd, &decimals},
		{"", eur, &syntax},
		{"-", eur, &syntax},
		{".50", eur, &syntax},
		{"1.", eur, &syntax},
		{"1.5.0", eur, &syntax},
		{"1,234.50", eur, &syntax},
		{"+1.00", eur, &syntax},
		{" 1.00", eur, &syntax},
		{"1.00 ", eur, &syntax},
		{"--1.00", eur, &syntax},
		{"01.00", eur, &syntax},
		{"-0.00", eur, &syntax},
		{"NaN", eur, &syntax},
		{"Infinity", eur, &syntax},
		{"1e3", eur, &syntax},
		{"1.0E2", eur, &syntax},
		{"0x10", jpy, &syntax},
		{"1_000", jpy, &syntax},
		{"−1.00", eur, &syntax}, // a typographic minus
		{"١٢", jpy, &syntax},
		{strings.Repeat("9", 1_000_000), jpy, &syntax},
		{"10000000000000.01", eur, &tooLarge},
		{"99999999999999999999999999.00", eur, &tooLarge},
		{"1.00", money.Currency{}, &noCurrency},
	} {
		got, err := money.Parse(c.text, c.currency)
		if err == nil || !errors.As(err, c.want) || got != (money.Amount{}) {
			t.Errorf("Parse(%.30q, %v) = %v, %v; want %T", c.text, c.currency, got, err, c.want)
		}
		if err != nil && len(err.Error()) > 200 {
			t.Errorf("Parse(%.30q): the error has %d characters", c.text, len(err.Error()))
		}
	}
}

func TestDecimalsErrorTellsWhatIsWanted(t *testing.T) {
	t.Parallel()
	_, err := money.Parse("12.5", eur)
	if want := `amount "12.5": must have 2 decimals in EUR, not 1`; err == nil || err.Error() != want {
		t.Errorf("got %v, want %s", err, want)
	}
}

func TestBoundedDecimals(t *testing.T) {
	t.Parallel()
	for _, text := range []string{
		"0", "-0.5", "421.000000", "18.333333", "99999999999999.999999", "-99999999999999.999999",
		"0.000001",
	} {
		d, err := money.Quantity.Parse(text)
		if err != nil || !d.Equal(decimal.RequireFromString(text)) {
			t.Errorf("Quantity.Parse(%q) = %v, %v", text, d, err)
		}
		if err := money.Quantity.Check(d); err != nil {
			t.Errorf("Quantity.Check(%q): %v", text, err)
		}
	}
	var digits *money.DigitsError
	for _, text := range []string{
		"0.0000001", "1.0000000", "100000000000000", "123456789012345.5",
	} {
		if _, err := money.Quantity.Parse(text); !errors.As(err, &digits) {
			t.Errorf("Quantity.Parse(%q): %v, want *DigitsError", text, err)
		}
	}
	var syntax *money.SyntaxError
	for _, text := range []string{
		"", "NaN", "1e6", "1E-6", "+1", "0123", ".5", "5.", " 5", "5 h", strings.Repeat("0", 100),
	} {
		if _, err := money.Quantity.Parse(text); !errors.As(err, &syntax) {
			t.Errorf("Quantity.Parse(%.20q): %v, want *SyntaxError", text, err)
		}
	}
}

func TestBoundCheckOfComputedDecimals(t *testing.T) {
	t.Parallel()
	for _, d := range []decimal.Decimal{
		decimal.New(1500, -3), decimal.New(1, 13), decimal.New(1000, -9), {},
	} {
		if err := money.Rate.Check(d); err != nil {
			t.Errorf("Check(%v): %v", d, err)
		}
	}
	var digits *money.DigitsError
	for _, d := range []decimal.Decimal{
		decimal.New(1, 14), decimal.New(1, -7), decimal.New(1, 2_000_000_000),
		decimal.New(1, -2_000_000_000),
	} {
		if err := money.Rate.Check(d); !errors.As(err, &digits) || len(err.Error()) > 200 {
			t.Errorf("Check of a decimal with exponent %d: %.100v", d.Exponent(), err)
		}
	}
}

// FuzzParse checks that whatever Parse accepts is written back as the same text, so that an amount
// has one spelling, and that its exact decimal is what shopspring reads from the text.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{
		"1234.50", "-0.05", "0", "1e9", "NaN", "-0.00", "10000000000000.00", "1.2345", "00.10",
		"9.999",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, c := range []money.Currency{eur, jpy, kwd, clf} {
			a, err := money.Parse(text, c)
			if err != nil {
				if a != (money.Amount{}) {
					t.Fatalf("Parse(%q, %v) gave %v beside %v", text, c, a, err)
				}
				continue
			}
			if a.Text() != text {
				t.Fatalf("Parse(%q, %v) is written %q", text, c, a.Text())
			}
			if want := decimal.RequireFromString(text); !a.Decimal().Equal(want) {
				t.Fatalf("Parse(%q, %v).Decimal() = %v", text, c, a.Decimal())
			}
		}
		if d, err := money.Quantity.Parse(text); err == nil {
			if again, err := money.Quantity.Parse(d.String()); err != nil || !again.Equal(d) {
				t.Fatalf("Quantity.Parse(%q) = %v, read back as %v, %v", text, d, again, err)
			}
		}
	})
}
