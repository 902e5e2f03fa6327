package domain

import (
	"fmt"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// Consumption is something that a line of a scope uses up.
type Consumption struct {
	Operation catalogue.Code       `json:"operation"`
	Name      string               `json:"name"`
	Unit      string               `json:"unit"`
	Quantity  decimal.Decimal      `json:"quantity"` // waste included
	Formula   string               `json:"formula"`  // of Quantity, in words
	UnitPrice catalogue.ThreePoint `json:"unit_price"`
	Standing  catalogue.Standing   `json:"standing"`
}

// ConsumptionOf is what the lines of a scope use up, in their order: the
// catalogue's rows whose conditions hold. Work that an outside firm does uses
// up nothing of ours.
func ConsumptionOf(c *catalogue.Catalogue, in Instrument, js Judgements, s Scope) []Consumption {
	takeOff := TakeOffOf(c, in, js)
	facts := scopeFacts(in, js, s)
	var list []Consumption
	for i := range s.Lines {
		l := &s.Lines[i]
		if l.Making == catalogue.Outside {
			continue
		}
		for _, m := range c.MaterialsOf(l.Operation) {
			if c.Expr(m.When).Holds(facts) {
				list = append(list, consumption(l, m, takeOff))
			}
		}
	}
	return list
}

// wholeUnits are the units that are bought whole.
var wholeUnits = map[string]bool{"each": true, "set": true, "job": true, "lot": true}

// consumption is (fixed + per driver × quantity) × (1 + waste).
func consumption(l *Line, m catalogue.Material, t TakeOff) Consumption {
	quantity, says := l.Quantity, l.Formula
	if m.Driver != l.Driver {
		q, ok := t.Of(m.Driver)
		if !ok {
			q.Formula = fmt.Sprintf("nothing known of how many %ss", m.Driver)
		}
		quantity, says = q.Value, q.Formula
	}
	text := fmt.Sprintf("%s × %s (%s: %s)", m.PerDriver, quantity, m.Driver, says)
	if !m.Fixed.IsZero() {
		text = fmt.Sprintf("%s + %s", m.Fixed, text)
	}
	if !m.Waste.IsZero() {
		text += fmt.Sprintf(", and %s %% waste", m.Waste.Shift(2))
	}
	amount := m.Fixed.Add(m.PerDriver.Mul(quantity)).Mul(one.Add(m.Waste)).Round(canonicalPlaces)
	if wholeUnits[m.Unit] {
		amount = amount.Ceil()
		text += ", up to whole ones"
	}
	return Consumption{
		Operation: l.Operation, Name: m.Name, Unit: m.Unit, UnitPrice: m.UnitPrice, Standing: m.Standing, Formula: text,
		Quantity: amount,
	}
}
