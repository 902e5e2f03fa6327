package money_test

import (
	"encoding/json"
	"errors"
	"testing"

	"bentside/pricing/money"

	"pgregory.net/rapid"
)

func TestAmountInJSON(t *testing.T) {
	t.Parallel()
	a := money.MustParse("1234.50 EUR")
	data, err := json.Marshal(a)
	if want := `{"amount":"1234.50","currency":"EUR"}`; err != nil || string(data) != want {
		t.Fatalf("Marshal = %s, %v; want %s", data, err, want)
	}
	var got money.Amount
	if err := json.Unmarshal([]byte(` { "currency" : "EUR", "amount" : "1234.50" } `), &got); err != nil || got != a {
		t.Errorf("Unmarshal = %v, %v; want %v", got, err, a)
	}
	if _, err := json.Marshal(money.Amount{}); err == nil {
		t.Error("the zero Amount was written")
	}
}

func TestAmountInJSONRefuses(t *testing.T) {
	t.Parallel()
	var form *money.FormError
	var decimals *money.DecimalsError
	var syntax *money.SyntaxError
	var currency *money.CurrencyError
	for _, c := range []struct {
		data string
		want any
	}{
		{`{"amount":1234.50,"currency":"EUR"}`, &form},
		{`{"amount":null,"currency":"EUR"}`, &form},
		{`{"amount":"1234.50"}`, &form},
		{`{"currency":"EUR"}`, &form},
		{`{"Amount":"1234.50","currency":"EUR"}`, &form},
		{`{"amount":"1234.50","currency":"EUR","note":""}`, &form},
		{`"1234.50 EUR"`, &form},
		{`1234.50`, &form},
		{`null`, &form},
		{`{"amount":"1234.5","currency":"EUR"}`, &decimals},
		{`{"amount":"1e3","currency":"JPY"}`, &syntax},
		{`{"amount":"1.00","currency":"XAU"}`, &currency},
		{`{"amount":"1.00","currency":"eur"}`, &currency},
	} {
		got := money.MustParse("7.00 EUR")
		err := json.Unmarshal([]byte(c.data), &got)
		if err == nil || !errors.As(err, c.want) || got != money.MustParse("7.00 EUR") {
			t.Errorf("%s: got %v, %v; want %T and the value untouched", c.data, got, err, c.want)
		}
	}
}

func TestJSONRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.SampledFrom([]money.Currency{eur, jpy, kwd, clf}).Draw(t, "currency")
		a := money.FromMinor(rapid.Int64Range(-money.Limit, money.Limit).Draw(t, "minor"), c)
		data, err := json.Marshal(a)
		if err != nil {
			t.Fatal(err)
		}
		var got money.Amount
		if err := json.Unmarshal(data, &got); err != nil || got != a {
			t.Fatalf("%s read as %v, %v", data, got, err)
		}
	})
}
