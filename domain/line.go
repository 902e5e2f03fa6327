package domain

import (
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// hourPlaces is how many decimals hours keep: 36 seconds.
const hourPlaces = 2

// line makes the line of an operation, as it is wherever it is needed.
func (d *drawer) line(op *catalogue.Operation, t TakeOff) Line {
	q := t.For(op, d.in.Kind)
	l := Line{
		Operation: op.Code, Name: op.Name, Skill: op.Skill, Driver: op.Driver,
		Quantity: q.Value, Basis: q.Basis, Formula: q.Formula,
		Making: op.Making, Sessions: 1, Standing: op.Standing, Cautions: slices.Clone(op.Hazards),
	}
	if l.Making == catalogue.Either {
		l.Making = catalogue.InHouse
	}
	d.apply(&l, op)
	return l
}

// apply puts the buyer's figures into a line and works out what follows from
// them.
func (d *drawer) apply(l *Line, op *catalogue.Operation) {
	w := d.wishes
	l.Edited = slices.Contains(w.added, op.Code)
	if e, ok := w.figure(SetQuantity, op.Code); ok {
		l.Quantity, l.Basis, l.Formula, l.Edited = *e.Quantity, Known, withWhy("set by the buyer", e.Why), true
	}
	if e, ok := w.figure(SetMaking, op.Code); ok {
		l.Making, l.Edited = e.Making, true
	}
	if _, ok := w.figure(SetChance, op.Code); ok {
		l.Edited = true
	}
	if l.Making == catalogue.Outside {
		return
	}
	l.Hours = hoursAt(op.Hours[d.in.Kind], l.Quantity)
	if e, ok := w.figure(SetHours, op.Code); ok {
		l.Hours, l.Edited = *e.Hours, true
	}
	l.Sessions = sittings(op.Sessions, l.Quantity)
}

func withWhy(says, why string) string {
	if why == "" {
		return says
	}
	return says + ": " + why
}

// hoursAt are the hours of an operation at a quantity of its driver: likely is
// Setup + Rate × quantity, and low and high keep their proportion to it.
func hoursAt(h catalogue.Hours, quantity decimal.Decimal) catalogue.ThreePoint {
	return scaled(catalogue.ThreePoint{Low: h.Low, Likely: likelyAt(h, h.Baseline), High: h.High}, h, quantity, hourPlaces)
}

// likelyAt are the likely hours at a quantity of the driver.
func likelyAt(h catalogue.Hours, quantity decimal.Decimal) decimal.Decimal {
	return h.Setup.Add(h.Rate.Mul(quantity))
}

// scaled is a figure that holds at the baseline quantity, in the proportion of
// the likely hours at another quantity. Without likely hours it stays.
func scaled(p catalogue.ThreePoint, h catalogue.Hours, quantity decimal.Decimal, places int32) catalogue.ThreePoint {
	base := likelyAt(h, h.Baseline)
	scale := func(d decimal.Decimal) decimal.Decimal {
		if base.IsZero() {
			return d.Round(places)
		}
		return d.Mul(likelyAt(h, quantity)).DivRound(base, places)
	}
	return catalogue.ThreePoint{Low: scale(p.Low), Likely: scale(p.Likely), High: scale(p.High)}
}

// sittings is how many spaced sittings the hours fall into; 1 is one block.
func sittings(s *catalogue.Sessions, quantity decimal.Decimal) int {
	switch {
	case s == nil:
		return 1
	case s.PerUnit:
		return max(int(quantity.Ceil().IntPart()), 1)
	default:
		return max(s.Count, 1)
	}
}
