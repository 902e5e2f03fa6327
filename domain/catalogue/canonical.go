package catalogue

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/shopspring/decimal"
)

// Canonical returns the one encoding of the catalogue: JSON with sorted keys, no blanks, decimals
// as strings without trailing zeros. Parsing and encoding it again gives the same bytes.
func (c *Catalogue) Canonical() []byte { return canonical(c) }

// Hash returns the SHA-256 of Canonical in hexadecimal, which names a revision by its content.
func (c *Catalogue) Hash() string { return hashOf(c.Canonical()) }

// hash returns the hash of an operation's row as shipped.
func (o Operation) hash() string {
	o.Shipped = ""
	return hashOf(canonical(o))
}

func hashOf(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// canonical encodes a value with sorted keys: maps are encoded sorted, and decoding into maps
// forgets the order of the fields.
func canonical(v any) []byte {
	var sorted any
	d := json.NewDecoder(bytes.NewReader(encode(v)))
	d.UseNumber()
	if err := d.Decode(&sorted); err != nil {
		panic(fmt.Errorf("decode what was just encoded: %w", err))
	}
	return encode(sorted)
}

func encode(v any) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // conditions are full of < and >
	if err := e.Encode(v); err != nil {
		panic(fmt.Errorf("encode a catalogue: %w", err)) // it holds nothing that JSON can't
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

// Parse reads a catalogue from JSON and checks it. It refuses fields that no catalogue has. A
// document from before marks, groups of work, standings of links or the necessity of companions
// were kept gets them. Faults of the rows are returned as Flaws, each with table and code.
func Parse(b []byte) (*Catalogue, error) {
	if err := refuseExponents(b); err != nil {
		return nil, fmt.Errorf("read catalogue: %w", err)
	}
	c := &Catalogue{}
	d := json.NewDecoder(bytes.NewReader(b))
	d.DisallowUnknownFields()
	if err := d.Decode(c); err != nil {
		return nil, fmt.Errorf("read catalogue: %w", err)
	}
	c.markStored()
	c.needStored()
	c.groupStored()
	c.placeStored()
	if err := c.standStored(); err != nil {
		return nil, err
	}
	if err := (&checking{Catalogue: c, stored: true}).check(); err != nil {
		return nil, err
	}
	c.index = newIndex(c)
	return c, nil
}

// refuseExponents refuses numbers with an exponent and overlong ones, bare or in quotes, before any
// is read as a decimal, and anything after the one value.
func refuseExponents(b []byte) error {
	d := json.NewDecoder(bytes.NewReader(b))
	d.UseNumber()
	var v any
	if err := d.Decode(&v); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("nothing must follow the catalogue")
	}
	return walkFigures(v)
}

func walkFigures(v any) error {
	switch v := v.(type) {
	case json.Number:
		return refuseExponent(v.String())
	case string:
		return refuseExponent(v)
	case []any:
		for _, x := range v {
			if err := walkFigures(x); err != nil {
				return err
			}
		}
	case map[string]any:
		for _, x := range v {
			if err := walkFigures(x); err != nil {
				return err
			}
		}
	}
	return nil
}

// refuseExponent refuses a text that is a number, but not one that is written out.
func refuseExponent(s string) error {
	if plain(s) || strings.Trim(s, "0123456789eE.+-") != "" {
		return nil
	}
	if _, err := decimal.NewFromString(s); err != nil {
		return nil //nolint:nilerr // the text isn't a number at all
	}
	return errors.New("figures must be written out, in at most 20 characters")
}

// InCurrency returns the catalogue with every price converted at rate, in units of the currency
// code for one unit of the catalogue's own, rounded to two places. Hours, quantities and hashes of
// shipped rows stay as they are.
func (c *Catalogue) InCurrency(code string, rate decimal.Decimal) *Catalogue {
	in := *c
	in.Currency = code
	in.Operations = make([]Operation, len(c.Operations))
	for i, o := range c.Operations {
		if o.Buying != nil {
			b := *o.Buying
			b.Price = make(map[Kind]ThreePoint, len(o.Buying.Price))
			for kind, p := range o.Buying.Price {
				b.Price[kind] = p.at(rate)
			}
			b.Carriage = b.Carriage.at(rate)
			o.Buying = &b
		}
		in.Operations[i] = o
	}
	in.Materials = make([]Material, len(c.Materials))
	for i, m := range c.Materials {
		m.UnitPrice = m.UnitPrice.at(rate)
		in.Materials[i] = m
	}
	in.index = newIndex(&in)
	return &in
}

// at returns a price converted at a rate, rounded to two places.
func (p ThreePoint) at(rate decimal.Decimal) ThreePoint {
	return ThreePoint{
		p.Low.Mul(rate).Round(2), p.Likely.Mul(rate).Round(2), p.High.Mul(rate).Round(2),
	}
}
