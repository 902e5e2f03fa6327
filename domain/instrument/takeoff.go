package instrument

import (
	"fmt"

	"bentside/domain/catalogue"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// Basis says how a quantity came about.
type Basis string

// A Known quantity was counted or measured on the instrument, a Computed one follows from such by a
// formula, an Assumed one is the baseline instrument's.
const (
	Known    Basis = "known"
	Computed Basis = "computed"
	Assumed  Basis = "assumed"
)

// Quantity is how many units of a driver one instrument has.
type Quantity struct {
	Driver  string          `json:"driver"`
	Value   decimal.Decimal `json:"value"`
	Unit    string          `json:"unit"` // each, m, m2, kg
	Basis   Basis           `json:"basis"`
	Formula string          `json:"formula"` // how the value came about, in words
	// At is the point of the survey that counted it, if one did.
	At catalogue.PointCode `json:"-"`
}

// TakeOff is the quantities of one instrument, in the order in which the catalogue first names
// their drivers.
type TakeOff []Quantity

// Of returns the quantity of a driver; false where the take-off says nothing of it.
func (t TakeOff) Of(driver string) (Quantity, bool) {
	for _, q := range t {
		if q.Driver == driver {
			return q, true
		}
	}
	return Quantity{}, false
}

// For returns the quantity that an operation's hours scale with: the take-off's where it has one,
// else the operation's own baseline.
func (t TakeOff) For(op *catalogue.Operation, kind catalogue.Kind) Quantity {
	if q, ok := t.Of(op.Driver); ok {
		return q
	}
	return Quantity{
		Driver: op.Driver, Value: op.Hours[kind].Baseline, Unit: UnitOf(op.Driver), Basis: Assumed,
		Formula: fmt.Sprintf("usual for %s on the baseline %s", op.Code, kind),
	}
}

// AtLeastUsual returns a quantity that the survey counted, or the operation's baseline where that
// is more: what calls for the operation isn't what was counted.
func (q Quantity) AtLeastUsual(op *catalogue.Operation, kind catalogue.Kind) Quantity {
	usual := op.Hours[kind].Baseline
	if q.At == "" || q.Value.GreaterThanOrEqual(usual) {
		return q
	}
	q.Formula = fmt.Sprintf("usual for %s on the baseline %s: more than the %s at %s calls for it",
		op.Code, kind, q.Value, q.At)
	q.Value, q.Basis = usual, Assumed
	return q
}

// TakeOffOf takes off every quantity that the operations and materials of the catalogue scale with.
// What is not known of the instrument is the baseline instrument's and says so.
func TakeOffOf(c *catalogue.Catalogue, in Instrument, js survey.Judgements) TakeOff {
	m := &measured{c: c, in: in, judgements: js, baseline: baselines(c, in.Kind)}
	var t TakeOff
	seen := map[string]bool{}
	take := func(driver string) {
		if seen[driver] {
			return
		}
		seen[driver] = true
		if q, ok := m.quantity(driver); ok {
			q.Driver, q.Unit = driver, UnitOf(driver)
			t = append(t, q)
		}
	}
	for i := range c.Operations {
		take(c.Operations[i].Driver)
	}
	for i := range c.Materials {
		take(c.Materials[i].Driver)
	}
	for _, driver := range furtherDrivers {
		take(driver)
	}
	return t
}

// baselines returns the baseline quantity of each driver on which all operations of the kind agree.
// Drivers on which they differ, such as a tuning pass, are left to the operations.
func baselines(c *catalogue.Catalogue, kind catalogue.Kind) map[string]decimal.Decimal {
	known := map[string]decimal.Decimal{}
	differs := map[string]bool{}
	for i := range c.Operations {
		op := &c.Operations[i]
		h, ok := op.Hours[kind]
		if !ok {
			continue
		}
		if other, ok := known[op.Driver]; ok && !other.Equal(h.Baseline) {
			differs[op.Driver] = true
		}
		known[op.Driver] = h.Baseline
	}
	for driver := range differs {
		delete(known, driver)
	}
	return known
}

// measured is what a take-off works from.
type measured struct {
	c          *catalogue.Catalogue
	in         Instrument
	judgements survey.Judgements
	baseline   map[string]decimal.Decimal
}

// unsurveyed returns an instrument of which only its record is known.
func unsurveyed(in Instrument) *measured { return &measured{c: &catalogue.Catalogue{}, in: in} }

// of returns a driver's quantity, without a basis where nothing is known of it.
func (m *measured) of(driver string) Quantity {
	q, _ := m.quantity(driver)
	return q
}

// quantity takes off one driver: what was measured on the instrument, else what a formula comes to,
// else what the survey counted; false where nothing is known, not even a baseline.
func (m *measured) quantity(driver string) (Quantity, bool) {
	if x := m.in.measurement(driver); x != nil {
		return x.quantity(), true
	}
	if f := formulaOf(driver); f != nil {
		q := f(m)
		return q, q.Basis != ""
	}
	if mark, ok := counted[driver]; ok {
		if j := m.judgements.Marked(m.c, mark); j.Worst != nil {
			return Quantity{
				Value: *j.Worst, Basis: Known, Formula: "counted at " + string(j.Point), At: j.Point,
			}, true
		}
	}
	return m.assumed(driver)
}

// assumed returns the baseline instrument's quantity.
func (m *measured) assumed(driver string) (Quantity, bool) {
	b, ok := m.baseline[driver]
	if !ok {
		return Quantity{}, false
	}
	return Quantity{
		Value: b, Basis: Assumed,
		Formula: fmt.Sprintf("not counted; the baseline %s has %s", m.in.Kind, b),
	}, true
}
