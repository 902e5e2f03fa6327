package plan

import (
	"context"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/pricing"
	"bentside/pricing/money"
)

// MakeOrBuy is one line of a scope that a firm can do, both ways side by side. Costs assume that
// the work is needed: the chance of the line weighs neither way, so that neither looks better than
// it is.
type MakeOrBuy struct {
	Line    scope.Line // as it is in the scope
	InHouse *InHouse   // nil where only a firm does it
	Outside *Outside   // nil where the firm has no price for the kind of piano
	// at the likely cost; empty where they are level or there is only one way
	Cheaper catalogue.Making
}

// InHouse is a line done by the crew.
type InHouse struct {
	Hours catalogue.ThreePoint
	Costs pricing.Costs  // labour, overhead and materials
	Lead  catalogue.Lead // what must be ordered first; zero where nothing is
	Ready time.Time      // of the whole instrument, behind the jobs in progress
}

// Outside is a line done by a firm.
type Outside struct {
	Price     pricing.Range
	Carriage  money.Amount // both ways, likely
	Total     pricing.Range
	TurnRound catalogue.ThreePoint // calendar weeks, with the firm's queue and carriage
	Ready     time.Time            // of the whole instrument, behind the jobs in progress
}

// Situation is what a scope is dated in: the shop, and the queue at the instant of the acceptance.
type Situation struct {
	Shop  Shop
	At    time.Time
	Queue []QueuedWork
	Stops []Stop // of the instrument of the scope
}

// MakeOrBuyLines returns every line of a scope that a firm can do, in the order of the scope, each
// both ways: the scope is drawn, costed and dated again with that line done the other way, so that
// the firm's turn-round and parts to be ordered count in the dates.
func MakeOrBuyLines(
	ctx context.Context, d scope.Inputs, sit Situation,
) ([]MakeOrBuy, error) {
	drawn, err := d.DrawAdding()
	if err != nil {
		return nil, err
	}
	asIs, err := dateScope(ctx, d, drawn, sit)
	if err != nil {
		return nil, err
	}
	var list []MakeOrBuy
	for _, l := range asIs.scope.Lines {
		op := scope.JobOperation(d.Catalogue, l)
		if op == nil || op.Buying == nil {
			continue
		}
		m := MakeOrBuy{Line: l}
		if op.Making == catalogue.Either {
			if m.InHouse, err = inHouse(ctx, d, op, asIs, sit); err != nil {
				return nil, err
			}
		}
		if m.Outside, err = outside(ctx, d, op, asIs, sit); err != nil {
			return nil, err
		}
		m.Cheaper = cheaper(m.InHouse, m.Outside)
		list = append(list, m)
	}
	return list, nil
}

// datedScope is a scope with the date on which the instrument is ready.
type datedScope struct {
	scope scope.Scope
	ready time.Time
}

func dateScope(
	ctx context.Context, d scope.Inputs, s scope.Scope, sit Situation,
) (datedScope, error) {
	dates, err := sit.DatesOf(ctx, d.Catalogue, s)
	return datedScope{scope: s, ready: dates.Queued.Ready}, err
}

func inHouse(
	ctx context.Context, d scope.Inputs, op *catalogue.Operation, asIs datedScope, sit Situation,
) (*InHouse, error) {
	l, err := costLine(ctx, d, op, catalogue.InHouse, asIs, sit)
	if err != nil {
		return nil, err
	}
	w := &InHouse{Hours: l.Hours, Costs: l.costs, Ready: l.ready}
	if op.Lead != nil {
		w.Lead = *op.Lead
	}
	return w, nil
}

func outside(
	ctx context.Context, d scope.Inputs, op *catalogue.Operation, asIs datedScope, sit Situation,
) (*Outside, error) {
	if _, ok := op.Buying.Price[d.Instrument.Kind]; !ok {
		return nil, nil //nolint:nilnil // no price for this kind of piano is an answer, not a failure
	}
	l, err := costLine(ctx, d, op, catalogue.Outside, asIs, sit)
	if err != nil {
		return nil, err
	}
	firm, err := scope.OutsidePrice(op, d.Instrument.Kind, l.Quantity, l.costs.Total.Likely.Currency())
	if err != nil {
		return nil, err
	}
	return &Outside{
		Price: firm.Price, Carriage: firm.Carriage, Total: l.costs.Total, TurnRound: op.Buying.TurnRound,
		Ready: l.ready,
	}, nil
}

// costedLine is a line with its costs as if it were certain, and the date of the whole instrument.
type costedLine struct {
	scope.Line
	costs pricing.Costs
	ready time.Time
}

// costLine costs and dates the line of an operation done in one way of making.
func costLine(
	ctx context.Context, d scope.Inputs, op *catalogue.Operation, making catalogue.Making,
	dated datedScope, sit Situation,
) (costedLine, error) {
	ofOperation := func(l scope.Line) bool { return l.Operation == op.Code }
	at := slices.IndexFunc(dated.scope.Lines, ofOperation)
	if dated.scope.Lines[at].Making != making {
		other, err := d.DrawMaking(dated.scope, op.Code, making)
		if err != nil {
			return costedLine{}, err
		}
		if dated, err = dateScope(ctx, d, other, sit); err != nil {
			return costedLine{}, err
		}
		at = slices.IndexFunc(dated.scope.Lines, ofOperation)
	}
	line, s := dated.scope.Lines[at], dated.scope
	costed, err := scope.CostIfNeeded(d.Catalogue, d.Instrument, d.Judgements, s, line, d.Terms)
	return costedLine{Line: line, costs: costed.Costs, ready: dated.ready}, err
}

// cheaper returns the way of making that costs less at the likely figures.
func cheaper(in *InHouse, out *Outside) catalogue.Making {
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
