package scope

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// Consumption is a material that a line of a scope uses up.
type Consumption struct {
	Operation catalogue.Code       `json:"operation"`
	Name      string               `json:"name"`
	Unit      string               `json:"unit"`
	Quantity  decimal.Decimal      `json:"quantity"` // waste included
	Formula   string               `json:"formula"`  // of Quantity, in words
	UnitPrice catalogue.ThreePoint `json:"unit_price"`
	Standing  catalogue.Standing   `json:"standing"`
}

// ConsumptionOf returns what the lines of a scope use up, in their order: the catalogue's materials
// whose conditions hold. Work that an outside firm does uses up nothing of ours.
func ConsumptionOf(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, s Scope,
) []Consumption {
	takeOff := instrument.TakeOffOf(c, in, js)
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

// wholeUnits are the units that are only sold whole.
var wholeUnits = map[string]bool{"each": true, "set": true, "job": true, "lot": true}

// consumption returns (fixed + per driver × quantity) × (1 + waste) of a material.
func consumption(l *Line, m catalogue.Material, t instrument.TakeOff) Consumption {
	quantity, source := l.Quantity, l.Formula
	if m.Driver != l.Driver {
		q, ok := t.Of(m.Driver)
		if !ok {
			q.Formula = fmt.Sprintf("nothing known of how many %ss", m.Driver)
		}
		quantity, source = q.Value, q.Formula
	}
	formula := fmt.Sprintf("%s × %s (%s: %s)", m.PerDriver, quantity, m.Driver, source)
	if !m.Fixed.IsZero() {
		formula = fmt.Sprintf("%s + %s", m.Fixed, formula)
	}
	if !m.Waste.IsZero() {
		formula += fmt.Sprintf(", and %s %% waste", m.Waste.Shift(2))
	}
	amount := m.Fixed.Add(m.PerDriver.Mul(quantity)).Mul(domain.One.Add(m.Waste))
	amount = amount.Round(domain.DecimalPlaces)
	if wholeUnits[m.Unit] {
		amount = amount.Ceil()
		formula += ", up to whole ones"
	}
	return Consumption{
		Operation: l.Operation, Name: m.Name, Unit: m.Unit, UnitPrice: m.UnitPrice, Standing: m.Standing,
		Quantity: amount, Formula: formula,
	}
}
