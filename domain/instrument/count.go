package instrument

import (
	"fmt"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

var two = decimal.New(2, 0)

// derived returns a quantity that follows from another by a formula. It is no better known than
// that.
func derived(from Quantity, value decimal.Decimal, format string, args ...any) Quantity {
	q := Quantity{Value: value, Basis: from.Basis, Formula: fmt.Sprintf(format, args...)}
	if q.Basis == Known {
		q.Basis = Computed
	}
	return q
}

// pins: one rest pin, one hole and, where the frame has them, one bushing to a string.
func (m *measured) pins() Quantity {
	strings := m.of(stringDriver)
	return derived(strings, strings.Value, "one to a string: %s", strings.Formula)
}

// bridgePins: two to a string.
func (m *measured) bridgePins() Quantity {
	strings := m.of(stringDriver)
	return derived(strings, strings.Value.Mul(two), "2 × %s strings", strings.Value)
}

// pieces returns the pieces of plain wire, each looped back to make two strings. Single strings
// that are tied at the end of a section with an odd number come on top: 92 to 100 for 183 strings
// (trade dossier); they are not counted.
func (m *measured) pieces() Quantity {
	plain := m.of(plainDriver)
	half := halved(plain)
	return derived(
		plain, half.Value, "half of %s plain strings, looped back; tied singles come on top",
		plain.Value,
	)
}

// hitches: one to each piece of plain wire and one to each covered string.
func (m *measured) hitches() Quantity {
	pieces, covered := m.of(wirePieces), m.of(coveredDriver)
	return sumOf(
		pieces, covered, "%s pieces of plain wire + %s covered strings; tied singles come on top",
	)
}

// piecesOf returns the fewest hitch pins that the strings can hang on.
func piecesOf(plain, covered Quantity) Quantity {
	return sumOf(halved(plain), covered, "%s pieces of plain wire + %s covered strings")
}

// sumOf returns a sum that is known no better than either part.
func sumOf(a, b Quantity, format string) Quantity {
	from := a
	if b.Basis == Assumed || b.Basis == "" {
		from = b
	}
	return derived(from, a.Value.Add(b.Value), format, a.Value, b.Value)
}

// halved returns half of a count, up to a whole one.
func halved(q Quantity) Quantity {
	q.Value = q.Value.Div(two).Ceil()
	q.Formula = "half of " + q.Formula
	return q
}

// doubled returns twice a count.
func doubled(q Quantity) Quantity {
	return derived(q, q.Value.Mul(two), "2 × %s", q.Formula)
}

// bushings returns the mortises of the keys, two to each, with two cloths in each.
func (m *measured) bushings() Quantity {
	keys := m.notes()
	return derived(keys, keys.Value.Mul(two), "2 mortises × %s keys", keys.Value)
}

// rollers: one to a note of a grand; an upright has none.
func (m *measured) rollers() Quantity {
	if m.in.Kind == catalogue.Upright {
		return Quantity{
			Value: decimal.Zero, Basis: Known, Formula: "an upright's action has no rollers",
		}
	}
	return m.notes()
}
