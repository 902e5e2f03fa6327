package instrument

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Measurement is a quantity of an instrument that somebody counted or measured on it. It goes
// before whatever a formula would come to.
type Measurement struct {
	Driver string          `json:"driver"`
	Value  decimal.Decimal `json:"value"` // in the unit that UnitOf names
	By     string          `json:"by"`
	Why    string          `json:"why,omitempty"`
}

// measurement returns what was measured of a driver; nil where nothing was.
func (i Instrument) measurement(driver string) *Measurement {
	for n := range i.Measured {
		if i.Measured[n].Driver == driver {
			return &i.Measured[n]
		}
	}
	return nil
}

// The drivers that a take-off names and no operation scales with.
const (
	hitchPins       = "hitch pin"
	wirePieces      = "wire piece"
	keyBushings     = "key bushing"
	InstrumentKg    = "kg of instrument"
	FrameKg         = "kg of frame"
	stringDriver    = "string"
	coveredDriver   = "covered string"
	plainDriver     = "plain string"
	restPinDriver   = "hole (rest pin)"
	bridgePinDriver = "bridge pin"
	bushingDriver   = "pin bushing"
	wireKgDriver    = "kg of plain wire"
)

// measurable are the drivers that can be measured on an instrument, with the most that one may have
// of it whatever else is known. What is not listed is not counted on the instrument: the compass
// stands in its record, a visit is not a property of a piano.
var measurable = map[string]int64{
	stringDriver: 4 * maxNotes, coveredDriver: 2 * maxNotes, plainDriver: 4 * maxNotes,
	restPinDriver: 4 * maxNotes,
	"pin treated": 4 * maxNotes, "string replaced": 4 * maxNotes, hitchPins: 4 * maxNotes,
	bridgePinDriver: 12 * maxNotes,
	bushingDriver:   4 * maxNotes, wirePieces: 4 * maxNotes, "agraffe note": maxNotes,
	"bridge note": maxNotes,
	"hammer":      2 * maxNotes, "roller": 2 * maxNotes, "damper": maxNotes, "natural": maxNotes,
	"sharp":     maxNotes,
	keyBushings: 4 * maxNotes, "centre": 10 * maxNotes, "rib": 40, "letter": 2000, "complex item": 200,
	"piece":          1000,
	"piece replaced": 1000, "metre of crack": 100, "metre of frame crack": 10, "m2 of case": 60,
	"m2 of board": 10,
	"m2 of frame": 10, "m2 of veneer laid or relaid": 60, wireKgDriver: 10, InstrumentKg: 1000,
	FrameKg: 400,
}

// UnitOf returns the unit that a driver's quantity is in: m2, m, kg, or each for what is counted.
func UnitOf(driver string) string {
	for _, x := range []struct{ begins, unit string }{
		{"m2 of ", "m2"}, {"metre of ", "m"}, {"kg of ", "kg"},
	} {
		if strings.HasPrefix(driver, x.begins) {
			return x.unit
		}
	}
	return "each"
}

// CheckMeasured returns an Invalid Fault with everything that cannot be true of what was measured
// on the instrument, or that contradicts the rest of what is known of it; pointers lie under
// #/measurements. Nil where nothing does.
func (i Instrument) CheckMeasured() error {
	var f domain.Faults
	seen := map[string]bool{}
	for n, x := range i.Measured {
		at := fmt.Sprintf("#/measurements/%d", n)
		most, known := measurable[x.Driver]
		switch {
		case !known:
			f.Add(at+"/driver", "%q is not measured on an instrument", x.Driver)
			continue
		case seen[x.Driver]:
			f.Add(at+"/driver", "%q is measured twice", x.Driver)
		}
		seen[x.Driver] = true
		if x.By == "" || utf8.RuneCountInString(x.By) > domain.MaxName {
			f.Add(at+"/by", "must name who measured it, in at most %d characters", domain.MaxName)
		}
		switch {
		case !domain.WithinDigits(x.Value):
			f.Add(
				at+"/value", "a measurement has at most %d digits and %d decimals",
				domain.IntegerDigits, domain.DecimalPlaces,
			)
		case UnitOf(x.Driver) != "each" && !x.Value.IsPositive():
			f.Add(at+"/value", "must be positive, not %s", x.Value)
		case x.Value.IsNegative():
			f.Add(at+"/value", "must not be negative: %s", x.Value)
		case UnitOf(x.Driver) == "each" && !x.Value.IsInteger():
			f.Add(at+"/value", "is counted in whole ones")
		case x.Value.GreaterThan(decimal.NewFromInt(most)):
			f.Add(at+"/value", "%s is more than any piano has: at most %d", x.Value, most)
		default:
			if says := i.impossible(x); says != "" {
				f.Add(at+"/value", "%s", says)
			}
		}
	}
	return f.Err()
}

// CheckAgainstMeasured returns a Conflict Fault where the record says something that what was
// measured on the instrument rules out, with each contradiction in its chain; nil where it does
// not.
func (i Instrument) CheckAgainstMeasured() error {
	var fault *domain.Fault
	for _, err := range []error{i.CheckMeasured(), i.CheckScale()} {
		var f *domain.Fault
		if !errors.As(err, &f) {
			continue
		}
		if fault == nil {
			fault = domain.Refuse(
				domain.Conflict,
				"the record contradicts what was measured on the instrument: correct the measurements or the scale first",
			)
		}
		for _, x := range f.Fields {
			fault.Chain = append(fault.Chain, x.Pointer+": "+x.Detail)
		}
	}
	if fault == nil {
		return nil
	}
	return fault
}

// impossible says how a measurement contradicts what else is known of the instrument; "" where it
// does not. What is only assumed contradicts nothing.
func (i Instrument) impossible(x Measurement) string {
	m := unsurveyed(i)
	limits := m.limits(x.Driver)
	for _, l := range limits {
		q := l.of
		if q.Basis == "" || q.Basis == Assumed {
			continue
		}
		switch cmp := x.Value.Cmp(q.Value); {
		case l.least && cmp < 0:
			return fmt.Sprintf(
				"%s is %s than the %s that there must be: %s (%s)", x.Value, fewer(x.Driver),
				q.Value, l.says, q.Formula,
			)
		case l.most && cmp > 0:
			return fmt.Sprintf(
				"%s is more than the %s that there can be: %s (%s)", x.Value, q.Value, l.says,
				q.Formula,
			)
		}
	}
	return ""
}

// limit is a quantity that another may not be below or above.
type limit struct {
	of          Quantity
	least, most bool
	says        string
}

func least(q Quantity, says string) limit { return limit{of: q, least: true, says: says} }

func most(q Quantity, says string) limit { return limit{of: q, most: true, says: says} }

func exactly(q Quantity, says string) limit {
	return limit{of: q, least: true, most: true, says: says}
}

// limits returns what a driver's quantity is bound by, for reasons of how a piano is made (common
// practice, no source).
func (m *measured) limits(driver string) []limit {
	notes, all := m.notes(), m.of(stringDriver)
	covered, plain := m.of(coveredDriver), m.of(plainDriver)
	switch driver {
	case stringDriver:
		return append(
			m.scaleLimits(driver), least(notes, "each note has a string"),
			least(covered, "the covered strings are among them"),
		)
	case restPinDriver, bushingDriver:
		return []limit{least(all, "each string has a rest pin of its own")}
	case "pin treated", "string replaced":
		return []limit{most(all, "one to a string")}
	case coveredDriver:
		return append(m.scaleLimits(driver), most(all, "they are among the strings"))
	case plainDriver:
		rest := all
		rest.Value = all.Value.Sub(covered.Value)
		if covered.Basis == Assumed || covered.Basis == "" {
			rest.Basis = ""
		}
		return []limit{exactly(rest, "a string is plain or covered")}
	case hitchPins:
		return []limit{
			least(
				piecesOf(plain, covered),
				"a plain piece looped back and a covered string have one each",
			),
			most(all, "one to a string"),
		}
	case wirePieces:
		return []limit{
			least(halved(plain), "a piece makes two strings at most"),
			most(plain, "a string is one piece at most"),
		}
	case "hammer", "centre":
		return []limit{least(notes, "each note has one")}
	case "roller":
		if m.in.Kind == catalogue.Upright {
			return []limit{most(m.rollers(), "rollers are of a grand's action")}
		}
		return []limit{least(notes, "each note has one")}
	case "damper", "agraffe note", "bridge note":
		return []limit{most(notes, "at most one to a note")}
	case "natural", "sharp":
		other := map[string]string{"natural": "sharp", "sharp": "natural"}[driver]
		rest := notes
		rest.Value = notes.Value.Sub(m.of(other).Value)
		rest.Formula = fmt.Sprintf("%s less %s of the other", notes.Formula, m.of(other).Value)
		return []limit{exactly(rest, "naturals and sharps make up the compass")}
	case keyBushings:
		return []limit{most(doubled(notes), "two mortises to a key")}
	case FrameKg:
		return []limit{most(m.of(InstrumentKg), "the frame is a part of the instrument")}
	case InstrumentKg:
		return []limit{
			least(m.halfOf(driver), halfSays),
			least(m.onlyMeasured(FrameKg), "the frame is a part of it"),
		}
	case "m2 of case", "m2 of board", "m2 of frame":
		return []limit{least(m.halfOf(driver), halfSays)}
	}
	return nil
}

// scaleLimits returns the count of strings that a scale of the whole compass gives.
func (m *measured) scaleLimits(driver string) []limit {
	all, covered, whole := m.in.scaleStrings()
	if !whole {
		return nil
	}
	q := Quantity{
		Value: decimal.NewFromInt(int64(all)), Basis: Known,
		Formula: "by the scale of the instrument",
	}
	if driver == coveredDriver {
		q.Value = decimal.NewFromInt(int64(covered))
	}
	return []limit{exactly(q, "the scale has so many")}
}

// halfSays is why an area or a weight below half of its formula is a slip of the pen: the formulas
// are good to 15 %, and pianos of one size differ by less than the rest.
const halfSays = "half of what its size comes to"

// halfOf returns half of what a driver's formula comes to, whatever was measured.
func (m *measured) halfOf(driver string) Quantity {
	q := formulaOf(driver)(m)
	q.Value = q.Value.Div(two)
	return q
}

// fewer returns the word for a smaller quantity of a driver: things are fewer, areas and weights
// less.
func fewer(driver string) string {
	if UnitOf(driver) == "each" {
		return "fewer"
	}
	return "less"
}

// onlyMeasured returns a driver's quantity where it was measured.
func (m *measured) onlyMeasured(driver string) Quantity {
	if x := m.in.measurement(driver); x != nil {
		return x.quantity()
	}
	return Quantity{}
}

// quantity returns the measurement as a quantity of a take-off.
func (x Measurement) quantity() Quantity {
	return Quantity{Value: x.Value, Basis: Known, Formula: withWhy("measured by "+x.By, x.Why)}
}

// Measurable lists the drivers that can be measured, in order.
func Measurable() []string {
	list := make([]string, 0, len(measurable))
	for driver := range measurable {
		list = append(list, driver)
	}
	slices.Sort(list)
	return list
}
