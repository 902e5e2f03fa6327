package instrument

import (
	"fmt"

	"bentside/domain/catalogue"
	"bentside/domain/stringing"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// StringTerms are what a string load is asked for with.
type StringTerms struct {
	PitchHz float64         // of A4
	Break   stringing.Basis // of the breaking load
	Spare   float64         // of wire, 0.15 = 15 %
	CoilKg  float64         // that wire is bought in
}

// UsualStringTerms returns concert pitch, the careful breaking load of the standard, and the usual
// spare and coil.
func UsualStringTerms() StringTerms {
	return StringTerms{
		PitchHz: stringing.ConcertPitch, Break: stringing.A228Minimum, Spare: stringing.UsualSpare,
		CoilKg: stringing.UsualCoilKg,
	}
}

// StringReport is an instrument's strings worked out.
type StringReport struct {
	Basis    Basis  // Known: the whole scale was measured; Assumed: any of it is the example's
	Measured int    // notes of the scale that were measured
	Says     string // how far the figures can be trusted, in words
	Rows     []ScaleRow
	Load     stringing.Load // of Rows, in their order
	Wire     []stringing.Wire
	Bearing  *BearingReport // nil where no bearing was read
}

// BearingReport is what the strings press on the bridges with.
type BearingReport struct {
	AngleDegrees float64 // the median of the survey's readings
	TotalN       float64 // at that angle everywhere
	Says         string
}

// illustrative says of the example scale what must be said wherever a figure that rests on it is
// shown.
const illustrative = "illustrative, from memory: an example scale of a 1.85 m grand, no maker's, since no scale of this instrument was measured"

// StringsOf works out an instrument's strings: its own scale where it was measured, the example
// scale elsewhere, which the report says.
func StringsOf(
	c *catalogue.Catalogue, in Instrument, js survey.Judgements, terms StringTerms,
) StringReport {
	r := StringReport{Basis: Known, Rows: in.WorkingScale()}
	scale := make(stringing.Scale, len(r.Rows))
	for i, row := range r.Rows {
		scale[i] = row.Note
		if row.Basis == Known {
			r.Measured++
		}
	}
	r.Load, r.Wire = scale.Load(terms.PitchHz, terms.Break), scale.Order(terms.Spare, terms.CoilKg)
	switch {
	case r.Measured == 0:
		r.Basis, r.Says = Assumed, illustrative
	case r.Measured < len(r.Rows) || in.Notes > len(r.Rows):
		r.Basis = Assumed
		r.Says = fmt.Sprintf(
			"%d notes of the scale were measured; the other %d are %s", r.Measured,
			len(r.Rows)-r.Measured, illustrative,
		)
	default:
		r.Says = fmt.Sprintf("all %d notes were measured", r.Measured)
	}
	if beyond := in.Notes - len(r.Rows); beyond > 0 {
		r.Says += fmt.Sprintf("; %d notes beyond the example scale are left out", beyond)
	}
	if j := js.Marked(c, catalogue.BearingMark); j.Median != nil {
		angle := j.Median.InexactFloat64()
		r.Bearing = &BearingReport{
			AngleDegrees: angle, TotalN: stringing.BearingForce(r.Load.TotalN, angle),
			Says: fmt.Sprintf(
				"T sin α at the median of %d readings at %s, taken for every string; readings of the angle are rough",
				j.Readings, j.Point,
			),
		}
	}
	return r
}

// wireKg returns the plain wire of the instrument in kg, without waste: of its own scale where that
// is whole, else so many strings of the example's mean weight.
func (m *measured) wireKg() Quantity {
	terms := UsualStringTerms()
	r := StringsOf(m.c, m.in, nil, terms)
	strings, metres, kg := 0, 0.0, 0.0
	for _, w := range r.Wire {
		strings, metres, kg = strings+w.Strings, metres+w.Metres, kg+w.Kg
	}
	if r.Basis == Known {
		return Quantity{
			Value: Rounded(kg, 3), Basis: Computed,
			Formula: fmt.Sprintf(
				"%.1f m of the scale in %d gauges, %.2f m a string beyond its speaking length",
				metres, len(r.Wire), stringing.BeyondSpeaking,
			),
		}
	}
	plain := m.of(plainDriver)
	if strings == 0 || plain.Basis == "" {
		return Quantity{}
	}
	each := Rounded(kg*1000/float64(strings), 2)
	return Quantity{
		Value: each.Mul(plain.Value).Shift(-3).Round(3), Basis: Assumed,
		Formula: fmt.Sprintf(
			"%s plain strings of %s g each, the mean of the example scale: %s", plain.Value, each,
			r.Says,
		),
	}
}

// Rounded returns a measured figure with so many decimals.
func Rounded(x float64, places int32) decimal.Decimal {
	return decimal.NewFromFloat(x).Round(places)
}
