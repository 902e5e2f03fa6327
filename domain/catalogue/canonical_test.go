package catalogue_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"bentside/domain/catalogue"
)

func TestCanonicalFormParsesToTheSameBytes(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	first := c.Canonical()
	again, err := catalogue.Parse(first)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(again.Canonical(), first) {
		t.Error("the canonical form of what was parsed differs")
	}
	if again.Hash() != c.Hash() || len(c.Hash()) != 64 {
		t.Errorf("hashes %s and %s", again.Hash(), c.Hash())
	}
}

func TestCanonicalFormSortsKeysAndWritesDecimalsAsStrings(t *testing.T) {
	t.Parallel()
	text := string(shipped(t).Canonical())
	for _, want := range []string{`{"choices":[`, `"baseline":"9.7"`, `"when":"SV-53:must_act"`, `SV-50>=attention`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in the canonical form", want)
		}
	}
	// The same content in another order of keys, with zeros and blanks, is the same revision.
	var loose any
	if err := json.Unmarshal([]byte(text), &loose); err != nil {
		t.Fatal(err)
	}
	indented, err := json.MarshalIndent(loose, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	padded := strings.Replace(string(indented), `"9.7"`, `"9.700"`, 1)
	c, err := catalogue.Parse([]byte(padded))
	if err != nil {
		t.Fatal(err)
	}
	if c.Hash() != shipped(t).Hash() {
		t.Error("blanks and trailing zeros change the hash")
	}
}

func TestParseRefusesWhatNoCatalogueHas(t *testing.T) {
	t.Parallel()
	text := string(shipped(t).Canonical())
	for _, row := range []struct{ name, json, want string }{
		{"an unknown field", strings.Replace(text, `{"choices"`, `{"colour":"red","choices"`, 1), "colour"},
		{"a figure that would fill the memory", strings.Replace(text, `"baseline":"9.7"`, `"baseline":"1e9999"`, 1), "written out"},
		{"the same as a bare number", strings.Replace(text, `"baseline":"9.7"`, `"baseline":1e9999`, 1), "written out"},
		{"one beyond all bounds", strings.Replace(text, `"baseline":"9.7"`, `"baseline":"1e999999999"`, 1), "exponent"},
		{"something after the end", text + "{}", "nothing must follow"},
		{"no JSON", "catalogue", "read catalogue"},
		{
			"a preference that lapses",
			strings.Replace(text, `"hard":true,"lapses":true`, `"hard":false,"lapses":true`, 1),
			"only a hard link can lapse",
		},
		{"an empty currency", strings.Replace(text, `"currency":"GBP"`, `"currency":""`, 1), "currency"},
	} {
		_, err := catalogue.Parse([]byte(row.json))
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: got %v, want an error that says %q", row.name, err, row.want)
		}
	}
}

func TestProblemsOfParsedRowsNameTableAndCode(t *testing.T) {
	t.Parallel()
	text := strings.Replace(string(shipped(t).Canonical()), `"phase":"belly","shipped"`, `"phase":"bellyache","shipped"`, 1)
	_, err := catalogue.Parse([]byte(text))
	var flaws catalogue.Flaws
	if !errors.As(err, &flaws) || len(flaws) != 1 || flaws[0].Where != "operations BD-01" {
		t.Errorf("got %v, want one problem at operations BD-01", err)
	}
}

func TestShippedRowsCarryTheirHash(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	seen := map[string]catalogue.Code{}
	for _, o := range c.Operations {
		if len(o.Shipped) != 64 || seen[o.Shipped] != "" {
			t.Errorf("%s has the hash %q, also of %s", o.Code, o.Shipped, seen[o.Shipped])
		}
		seen[o.Shipped] = o.Code
	}
}

func TestPricesConvertAtTheGivenRate(t *testing.T) {
	t.Parallel()
	c := shipped(t)
	before := c.Hash()
	in := c.InCurrency("EUR", dec("1.17"))
	if in.Currency != "EUR" {
		t.Errorf("currency %s", in.Currency)
	}
	bass := in.MaterialsOf("ST-03")[0].UnitPrice
	if want := dec("561.6"); !bass.Likely.Equal(want) { // 480 × 1.17
		t.Errorf("bass set: got %s, want %s", bass.Likely, want)
	}
	pins := in.MaterialsOf("BD-12")[1].UnitPrice
	if want := dec("0.09"); !pins.Likely.Equal(want) { // 0.08 × 1.17 = 0.0936
		t.Errorf("bridge pins: got %s, want %s", pins.Likely, want)
	}
	plate := in.Operation("CS-11").Buying
	if want := dec("585"); !plate.Price[catalogue.Grand].Likely.Equal(want) ||
		!plate.Carriage.Likely.Equal(dec("35.1")) {
		t.Errorf(
			"plating: got %v and carriage %v, want %s and 35.1", plate.Price[catalogue.Grand],
			plate.Carriage, want,
		)
	}
	if err := in.Check(); err != nil {
		t.Error(err)
	}
	if in.Operation("CS-11").Shipped != c.Operation("CS-11").Shipped {
		t.Error("a price in another currency isn't a change of the shipped row")
	}
	if c.Hash() != before {
		t.Error("the shipped catalogue has changed")
	}
}

func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"currency":"GBP","operations":[],"links":[],"choices":[],"materials":[],"companions":[],"points":[],"rules":[]}`))
	f.Add([]byte(`{"currency":"GBP","operations":[{"code":"BD-02","hours":{"grand":{"baseline":"1","setup":"1","rate":"0","low":"1","high":"1"}}}]}`))
	f.Add([]byte(`{"currency":"GBP","rules":[{"id":"x","depths":["restore"],"when":"SV-01:low|op:X","calls":[{"operation":"X"}]}]}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := catalogue.Parse(b)
		if err != nil {
			return
		}
		again, err := catalogue.Parse(c.Canonical())
		if err != nil {
			t.Fatalf("what was parsed can't be parsed again: %v", err)
		}
		if !bytes.Equal(again.Canonical(), c.Canonical()) {
			t.Fatal("the canonical form is not settled")
		}
	})
}
