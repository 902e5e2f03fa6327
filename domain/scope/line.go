package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"

	"github.com/shopspring/decimal"
)

// Line is one operation of a scope.
type Line struct {
	Operation catalogue.Code       `json:"operation"`
	Name      string               `json:"name"`
	Skill     string               `json:"skill"`
	Driver    string               `json:"driver"`
	Quantity  decimal.Decimal      `json:"quantity"`
	Basis     instrument.Basis     `json:"basis"`   // of Quantity
	Formula   string               `json:"formula"` // of Quantity, in words
	Hours     catalogue.ThreePoint `json:"hours"`   // person-hours; zero where a firm does it
	Making    catalogue.Making     `json:"making"`
	CountedIn CountedIn            `json:"counted_in,omitempty"`
	Chance    decimal.Decimal      `json:"chance"`             // 1: certain
	Expected  bool                 `json:"expected,omitempty"` // not certain, but planned
	// Branches are the findings with which a line that isn't certain is needed, RevealedBy the
	// operation after which that is known.
	Branches   []Branch           `json:"branches,omitempty"`
	RevealedBy catalogue.Code     `json:"revealed_by,omitempty"`
	Sessions   int                `json:"sessions"` // 1: one block
	Reasons    []Reason           `json:"reasons"`
	Cautions   []string           `json:"cautions,omitempty"` // hazard keys
	Standing   catalogue.Standing `json:"standing"`
	Edited     bool               `json:"edited,omitempty"`
}

// Branch is one state in which a point that nobody looked at may be found.
type Branch struct {
	Point    catalogue.PointCode `json:"point"`
	Severity catalogue.Severity  `json:"severity"`
	Odds     decimal.Decimal     `json:"odds"`
}

// Planned reports whether the line is planned: certain, or expected. Of the options of a choice,
// the lines of one at most are.
func (l Line) Planned() bool { return l.Expected || l.Chance.GreaterThanOrEqual(domain.One) }

// hourPlaces is the number of decimals that hours keep: 36 seconds.
const hourPlaces = 2

// line returns the line of an operation, as it is in every world that contains it, with the reasons
// that it is there for.
func (e *engine) line(op *catalogue.Operation, t instrument.TakeOff, reasons []Reason) Line {
	q := t.For(op, e.in.Kind)
	if q.At != "" && e.calledBesides(op.Code, q.At, reasons) {
		q = q.AtLeastUsual(op, e.in.Kind)
	}
	l := Line{
		Operation: op.Code, Name: op.Name, Skill: op.Skill, Driver: op.Driver,
		Quantity: q.Value, Basis: q.Basis, Formula: q.Formula,
		Making: op.Making, CountedIn: countedIn(e.c, op),
		Reasons: reasons, Sessions: 1, Standing: op.Standing, Cautions: slices.Clone(op.Hazards),
	}
	if l.Making == catalogue.Either {
		l.Making = catalogue.InHouse
	}
	e.override(&l, op)
	return l
}

// calledBesides reports whether a rule calls for the operation itself, not for an option with it,
// on account of other points than the one that counts its driver: parts are made whose veneer is
// sound. Points that nobody looked at don't add to what was counted.
func (e *engine) calledBesides(
	op catalogue.Code, at catalogue.PointCode, reasons []Reason,
) bool {
	counted, besides, doubtful := false, false, false
	for i := range reasons {
		r := &reasons[i]
		switch {
		case slices.Contains(r.Points, at):
			counted = true
		case len(r.Points) == 0 || !e.callsForItself(r.Rule, op):
		case r.dependsOnDoubt() > 0:
			doubtful = true
		default:
			besides = true
		}
	}
	return besides || doubtful && !counted
}

// callsForItself reports whether a rule calls for an operation, not for an option with it.
func (e *engine) callsForItself(rule string, op catalogue.Code) bool {
	return slices.ContainsFunc(e.c.Rules, func(r catalogue.Rule) bool {
		return r.ID == rule && slices.ContainsFunc(r.Calls, func(k catalogue.Call) bool {
			return k.Operation == op
		})
	})
}

// override puts the buyer's figures into a line and works out what follows from them.
func (e *engine) override(l *Line, op *catalogue.Operation) {
	o := e.overrides
	l.Edited = slices.Contains(o.added, op.Code)
	if edit, ok := o.figure(SetQuantity, op.Code); ok {
		l.Quantity, l.Basis, l.Edited = *edit.Quantity, instrument.Known, true
		l.Formula = withWhy("set by the buyer", edit.Why)
	}
	if edit, ok := o.figure(SetMaking, op.Code); ok {
		l.Making, l.Edited = edit.Making, true
	}
	if _, ok := o.figure(SetChance, op.Code); ok {
		l.Edited = true
	}
	if l.Making == catalogue.Outside {
		return
	}
	l.Hours = hoursAt(op.Hours[e.in.Kind], l.Quantity)
	if edit, ok := o.figure(SetHours, op.Code); ok {
		l.Hours, l.Edited = *edit.Hours, true
	}
	l.Sessions = Sittings(op.Sessions, l.Quantity)
}

// hoursAt returns the hours of an operation at a quantity of its driver: likely is Setup + Rate ×
// quantity, and low and high keep their proportion to it.
func hoursAt(h catalogue.Hours, quantity decimal.Decimal) catalogue.ThreePoint {
	baseline := catalogue.ThreePoint{Low: h.Low, Likely: likelyAt(h, h.Baseline), High: h.High}
	return scaled(baseline, h, quantity, hourPlaces)
}

// likelyAt returns the likely hours at a quantity of the driver.
func likelyAt(h catalogue.Hours, quantity decimal.Decimal) decimal.Decimal {
	return h.Setup.Add(h.Rate.Mul(quantity))
}

// scaled converts figures that hold at the baseline quantity to another quantity, in proportion to
// the likely hours. Without likely hours they stay as they are.
func scaled(
	p catalogue.ThreePoint, h catalogue.Hours, quantity decimal.Decimal, places int32,
) catalogue.ThreePoint {
	base := likelyAt(h, h.Baseline)
	scale := func(d decimal.Decimal) decimal.Decimal {
		if base.IsZero() {
			return d.Round(places)
		}
		return d.Mul(likelyAt(h, quantity)).DivRound(base, places)
	}
	return catalogue.ThreePoint{Low: scale(p.Low), Likely: scale(p.Likely), High: scale(p.High)}
}

// Sittings returns the number of spaced sittings that the hours are divided into; 1 is a single
// block.
func Sittings(s *catalogue.Sessions, quantity decimal.Decimal) int {
	switch {
	case s == nil:
		return 1
	case s.PerUnit:
		return max(int(quantity.Ceil().IntPart()), 1)
	default:
		return max(s.Count, 1)
	}
}
