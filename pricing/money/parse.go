package money

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
)

// Parse reads an amount written as [Amount.Text] writes it: an optional minus sign, digits without
// superfluous leading zeros, and exactly the currency's decimals after a point. It returns
// [*DecimalsError] for a well-formed number with another count of decimals, [*RangeError] for more
// than [Limit] minor units, and [*SyntaxError] for anything else (signs, spaces, exponents, NaN,
// "-0.00", absurd length). Nothing is rounded or guessed.
func Parse(text string, c Currency) (Amount, error) {
	if c.IsZero() {
		return Amount{}, &CurrencyError{Reason: "no currency"}
	}
	n, err := scan(text)
	if err != nil {
		return Amount{}, err
	}
	if len(n.fraction) != int(c.decimals) {
		return Amount{}, &DecimalsError{Text: text, Currency: c, Got: len(n.fraction)}
	}
	var minor int64
	for _, digits := range []string{n.whole, n.fraction} {
		for _, digit := range []byte(digits) {
			minor = minor*10 + int64(digit-'0')
			if minor > Limit {
				return Amount{}, &RangeError{What: text + " " + c.Code()}
			}
		}
	}
	if n.negative {
		if minor == 0 {
			return Amount{}, &SyntaxError{Text: text, Reason: "zero must have no sign"}
		}
		minor = -minor
	}
	return FromMinor(minor, c), nil
}

// MustParse parses "1234.50 EUR", and panics if Parse or ParseCurrency refuses it: for amounts
// written in the program and in tests.
func MustParse(text string) Amount {
	number, code, _ := strings.Cut(text, " ")
	a, err := Parse(number, MustCurrency(code))
	if err != nil {
		panic(err)
	}
	return a
}

// Digits limits the decimal digits of a quantity or a rate, as numeric(Precision, Scale) of SQL
// does: Precision digits in all, Scale of them after the point.
type Digits struct {
	Precision, Scale int32
}

// The bounds of decimals that are stored beside amounts.
var (
	// Quantity bounds counts, hours, metres and kilograms.
	Quantity = Digits{Precision: 20, Scale: 6}
	// Rate bounds unit costs, hourly rates, shares and tax rates.
	Rate = Digits{Precision: 20, Scale: 6}
)

// Parse reads a plain decimal within the bound: optional minus sign, digits, optional point and
// digits. It returns [*SyntaxError] for exponents, NaN and spaces, and [*DigitsError] for too many
// digits; nothing is rounded to fit.
func (b Digits) Parse(text string) (decimal.Decimal, error) {
	n, err := scan(text)
	if err != nil {
		return decimal.Decimal{}, err
	}
	whole := strings.TrimPrefix(n.whole, "0")
	if len(n.fraction) > int(b.Scale) || len(whole) > int(b.Precision-b.Scale) {
		return decimal.Decimal{}, &DigitsError{Text: text, Bound: b}
	}
	d, err := decimal.NewFromString(text)
	if err != nil {
		return decimal.Decimal{}, &SyntaxError{Text: text, Reason: "must be a decimal number"}
	}
	return d, nil
}

// Check returns [*DigitsError] for a decimal that doesn't fit the bound exactly. Trailing zeros
// don't count.
func (b Digits) Check(d decimal.Decimal) error {
	fits := d.Exponent() <= maxText && d.Exponent() >= -maxText
	if fits {
		scaled := d.Shift(b.Scale)
		fits = scaled.IsInteger() && scaled.Abs().Cmp(decimal.New(1, b.Precision)) < 0
	}
	if !fits {
		return &DigitsError{Text: describe(d), Bound: b}
	}
	return nil
}

// describe writes a decimal for an error without expanding a huge exponent into digits.
func describe(d decimal.Decimal) string {
	if e := d.Exponent(); e > maxText || e < -maxText {
		return fmt.Sprintf("a decimal with exponent %d", e)
	}
	return clip(d.String())
}

// number is a scanned decimal: its digits before and after the point.
type number struct {
	negative        bool
	whole, fraction string
}

// maxText is the longest text that is parsed: longer than any bound or amount needs.
const maxText = 64

func scan(text string) (number, error) {
	if len(text) > maxText {
		return number{}, &SyntaxError{
			Text: clip(text), Reason: fmt.Sprintf("must be at most %d characters long", maxText),
		}
	}
	var n number
	rest, negative := strings.CutPrefix(text, "-")
	n.negative = negative
	whole, fraction, pointed := strings.Cut(rest, ".")
	n.whole, n.fraction = whole, fraction
	switch {
	case !allDigits(whole) || pointed && !allDigits(fraction):
		return number{}, &SyntaxError{
			Text: text, Reason: "must be digits, with a point before any decimals",
		}
	case len(whole) > 1 && whole[0] == '0':
		return number{}, &SyntaxError{Text: text, Reason: "must have no leading zero"}
	}
	return n, nil
}

func allDigits(s string) bool {
	for _, b := range []byte(s) {
		if b < '0' || b > '9' {
			return false
		}
	}
	return s != ""
}

// clip shortens foreign text for an error.
func clip(text string) string {
	if len(text) > maxText {
		return text[:maxText] + "…"
	}
	return text
}

// SyntaxError says why a text isn't a number in the accepted form.
type SyntaxError struct {
	Text   string
	Reason string
}

// Error quotes the text and gives the reason.
func (e *SyntaxError) Error() string { return fmt.Sprintf("number %q: %s", e.Text, e.Reason) }

// DecimalsError says that an amount was written with the wrong number of decimals for its currency.
type DecimalsError struct {
	Text     string
	Currency Currency
	Got      int
}

// Error names the decimals that the amount has and those that it must have.
func (e *DecimalsError) Error() string {
	return fmt.Sprintf(
		"amount %q: must have %d decimals in %s, not %d", e.Text, e.Currency.Decimals(),
		e.Currency.Code(), e.Got,
	)
}

// DigitsError says that a decimal has more digits than its bound allows.
type DigitsError struct {
	Text  string
	Bound Digits
}

// Error gives the bound in digits before and after the point.
func (e *DigitsError) Error() string {
	return fmt.Sprintf("number %s: must have at most %d digits before and %d after the point",
		e.Text, e.Bound.Precision-e.Bound.Scale, e.Bound.Scale)
}
