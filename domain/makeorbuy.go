package domain

import (
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/pricing"
)

// MakeOrBuy is one line of a scope that a firm can do, both ways side by side.
// Costs hold wherever the work is needed: the chance of the line weighs neither
// way, so that one is not flattered beside the other.
type MakeOrBuy struct {
	Line    Line             // as it stands in the scope
	InHouse *InHouseWay      // nil where only a firm does it
	Outside *OutsideWay      // nil where the firm's price does not hold for the kind of piano
	Cheaper catalogue.Making // by likely cost; empty where they are level or there is only one way
}

// InHouseWay is a line done by the crew.
type InHouseWay struct {
	Hours catalogue.ThreePoint
	Costs pricing.Costs  // labour, overhead and materials
	Lead  catalogue.Lead // what must be ordered first; zero where nothing is
	Ready time.Time      // of the whole instrument, behind the jobs in progress
}

// OutsideWay is a line done by a firm.
type OutsideWay struct {
	Price     pricing.Range
	Carriage  money.Amount // both ways, likely
	Total     pricing.Range
	TurnRound catalogue.ThreePoint // calendar weeks, the firm's queue and carriage included
	Ready     time.Time            // of the whole instrument, behind the jobs in progress
}

// Drawing is all that a scope is drawn from, so that it can be drawn again with
// other edits.
type Drawing struct {
	Catalogue  *catalogue.Catalogue
	Instrument Instrument
	Judgements Judgements
	Terms      Terms
	Depth      catalogue.Depth
	Edits      []Edit
}

// With draws the scope with more edits after its own; see Draw for what goes
// wrong.
func (d Drawing) With(more ...Edit) (Scope, error) {
	return d.Under(append(slices.Clone(d.Edits), more...))
}

// Under draws the scope with other edits in the place of its own.
func (d Drawing) Under(edits []Edit) (Scope, error) {
	return Draw(d.Catalogue, d.Instrument, d.Judgements, d.Depth, edits, d.Terms.UnknownOdds)
}

// Calendar is what a scope is dated on.
type Calendar struct {
	Shop  Shop
	At    time.Time // of the acceptance
	Queue []QueuedWork
}

// MakeOrBuyOf is every line of a scope that a firm can do, in the order of the
// scope, each both ways: the scope is drawn anew with that line done the other
// way, costed and dated, so that turn-round and parts to be ordered enter the
// dates as they would.
func MakeOrBuyOf(d Drawing, cal Calendar) ([]MakeOrBuy, error) {
	taken, err := d.worked(cal)
	if err != nil {
		return nil, err
	}
	var list []MakeOrBuy
	for _, l := range taken.scope.Lines {
		op := jobOperation(d.Catalogue, l)
		if op == nil || op.Buying == nil {
			continue
		}
		m := MakeOrBuy{Line: l}
		if op.Making == catalogue.Either {
			if m.InHouse, err = d.inHouse(op, taken, cal); err != nil {
				return nil, err
			}
		}
		if m.Outside, err = d.outside(op, taken, cal); err != nil {
			return nil, err
		}
		m.Cheaper = cheaper(m.InHouse, m.Outside)
		list = append(list, m)
	}
	return list, nil
}

// worked is a scope with the date on which the instrument is ready.
type worked struct {
	scope Scope
	ready time.Time
}

func (d Drawing) worked(cal Calendar, more ...Edit) (worked, error) {
	scope, err := d.With(more...)
	if err != nil {
		return worked{}, err
	}
	dates, err := DatesOf(d.Catalogue, scope, cal.Shop, cal.At, cal.Queue)
	return worked{scope: scope, ready: dates.Queued.Ready}, err
}

func (d Drawing) inHouse(op *catalogue.Operation, taken worked, cal Calendar) (*InHouseWay, error) {
	costed, line, ready, err := d.done(op, catalogue.InHouse, taken, cal)
	if err != nil {
		return nil, err
	}
	w := &InHouseWay{Hours: line.Hours, Costs: costed.Costs, Ready: ready}
	if op.Lead != nil {
		w.Lead = *op.Lead
	}
	return w, nil
}

func (d Drawing) outside(op *catalogue.Operation, taken worked, cal Calendar) (*OutsideWay, error) {
	if _, ok := op.Buying.Price[d.Instrument.Kind]; !ok {
		return nil, nil //nolint:nilnil // no price for this kind of piano is an answer, not a failure
	}
	costed, line, ready, err := d.done(op, catalogue.Outside, taken, cal)
	if err != nil {
		return nil, err
	}
	firm, err := outside(op, d.Instrument.Kind, line.Quantity, costed.Costs.Total.Likely.Currency())
	if err != nil {
		return nil, err
	}
	return &OutsideWay{
		Price: firm.Price, Carriage: firm.Carriage, Total: costed.Costs.Total, TurnRound: op.Buying.TurnRound, Ready: ready,
	}, nil
}

// done is one line costed as if it were certain, and the date of the whole
// instrument, with the line done one way.
func (d Drawing) done(op *catalogue.Operation, way catalogue.Making, taken worked, cal Calendar) (pricing.CostedLine, Line, time.Time, error) {
	of := func(l Line) bool { return l.Operation == op.Code }
	at := slices.IndexFunc(taken.scope.Lines, of)
	if taken.scope.Lines[at].Making != way {
		var err error
		if taken, err = d.worked(cal, Edit{Kind: SetMaking, Operation: op.Code, Making: way}); err != nil {
			return pricing.CostedLine{}, Line{}, time.Time{}, err
		}
		at = slices.IndexFunc(taken.scope.Lines, of)
	}
	line, scope := taken.scope.Lines[at], taken.scope
	scope.Lines = slices.Clone(scope.Lines)
	scope.Lines[at].Chance = one
	estimate, err := EstimateScope(d.Catalogue, d.Instrument, d.Judgements, scope, d.Terms)
	if err != nil {
		return pricing.CostedLine{}, Line{}, time.Time{}, err
	}
	costed := slices.IndexFunc(estimate.Lines, func(l pricing.CostedLine) bool { return l.Ref == string(op.Code) })
	return estimate.Lines[costed], line, taken.ready, nil
}

// cheaper is the way that costs less at the likely figures.
func cheaper(in *InHouseWay, out *OutsideWay) catalogue.Making {
	if in == nil || out == nil {
		return ""
	}
	switch a, b := in.Costs.Total.Likely.Minor(), out.Total.Likely.Minor(); {
	case a < b:
		return catalogue.InHouse
	case b < a:
		return catalogue.Outside
	default:
		return ""
	}
}
