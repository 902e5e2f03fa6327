package money_test

import (
	"errors"
	"strings"
	"testing"

	"bentside/pricing/money"
)

// The counts and the codes without two decimals are those of ISO 4217 list one, by way of
// datasets/currency-codes.
func TestISO4217MinorUnits(t *testing.T) {
	t.Parallel()
	listed := map[int32]string{
		0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
		3: "BHD IQD JOD KWD LYD OMR TND",
		4: "CLF UYW",
	}
	got := make(map[int32]int)
	for code := range everyCode() {
		c, err := money.ParseCurrency(code)
		if err != nil {
			continue
		}
		got[c.Decimals()]++
		for decimals, codes := range listed {
			if in := strings.Contains(codes, code); in != (c.Decimals() == decimals) {
				t.Errorf("%s has %d decimals; listed with %d: %v", code, c.Decimals(), decimals, in)
			}
		}
	}
	want := map[int32]int{0: 17, 2: 139, 3: 7, 4: 2}
	for decimals, n := range want {
		if got[decimals] != n {
			t.Errorf("%d currencies with %d decimals, want %d", got[decimals], decimals, n)
		}
	}
	if len(got) != len(want) {
		t.Errorf("counts by decimals %v, want %v", got, want)
	}
}

func everyCode() func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for a := 'A'; a <= 'Z'; a++ {
			for b := 'A'; b <= 'Z'; b++ {
				for c := 'A'; c <= 'Z'; c++ {
					if !yield(string([]rune{a, b, c})) {
						return
					}
				}
			}
		}
	}
}

func TestCurrenciesWithoutMinorUnitAndUnknownCodesAreRefused(t *testing.T) {
	t.Parallel()
	none := strings.Fields("XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX")
	for _, code := range append(none, "", "eur", "EU", "EURO", "ZZZ", strings.Repeat("E", 500)) {
		c, err := money.ParseCurrency(code)
		var refused *money.CurrencyError
		if !errors.As(err, &refused) || !c.IsZero() {
			t.Errorf("ParseCurrency(%.10q) = %v, %v; want *CurrencyError", code, c, err)
		}
	}
}

func TestCurrencyText(t *testing.T) {
	t.Parallel()
	var c money.Currency
	if _, err := c.MarshalText(); err == nil {
		t.Error("the zero Currency was written")
	}
	if err := c.UnmarshalText([]byte("ISK")); err != nil || c != money.MustCurrency("ISK") {
		t.Errorf("ISK read as %v, %v", c, err)
	}
	if text, err := c.MarshalText(); err != nil || string(text) != "ISK" {
		t.Errorf("ISK written as %q, %v", text, err)
	}
	if err := c.UnmarshalText([]byte("XAU")); err == nil || c.Code() != "ISK" {
		t.Errorf("XAU accepted or the value changed: %v, %v", c, err)
	}
}
