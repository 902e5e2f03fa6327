package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// Inputs are everything that a scope is drawn from, so that it can be drawn again with other edits.
type Inputs struct {
	Catalogue  *catalogue.Catalogue
	Instrument instrument.Instrument
	Judgements survey.Judgements
	Terms      domain.Terms
	Depth      catalogue.Depth
	Edits      []Edit
}

// DrawAdding draws the scope with more edits after its own. It returns the errors of Draw.
func (in Inputs) DrawAdding(more ...Edit) (Scope, error) {
	return in.DrawReplacing(append(slices.Clone(in.Edits), more...))
}

// DrawMaking draws s, which was drawn from the same inputs, with an operation done in house or by a
// firm. That changes no other work, so no world is drawn anew.
func (in Inputs) DrawMaking(s Scope, op catalogue.Code, making catalogue.Making) (Scope, error) {
	edits := append(
		slices.Clone(in.Edits), Edit{Kind: SetMaking, Operation: op, Making: making},
	)
	if s.distribution == nil {
		return in.DrawReplacing(edits)
	}
	if err := CheckEdits(in.Catalogue, in.Instrument.Kind, edits); err != nil {
		return Scope{}, err
	}
	e, p := *s.distribution.engine, *s.distribution
	e.overrides, p.engine = overridesOf(in.Catalogue, edits), &e
	other := p.scope(instrument.TakeOffOf(in.Catalogue, in.Instrument, in.Judgements))
	other.Idle = idleEdits(edits, other)
	return other, nil
}

// DrawReplacing draws the scope with other edits in place of its own. It returns the errors of
// Draw.
func (in Inputs) DrawReplacing(edits []Edit) (Scope, error) {
	return Draw(in.Catalogue, in.Instrument, in.Judgements, in.Depth, edits, in.Terms.PointOdds())
}

// Draw draws the scope of an instrument at a depth: what the rules of the catalogue call for given
// the judgements, everything that this work needs, the choices settled, and the buyer's edits on
// top.
//
// A choice is settled by the buyer, else on the most thorough option called for by other work or by
// a finding that must be acted on, else on the most thorough one called for. A refused option gives
// way to the next more thorough one.
//
// A point that nobody looked at may be found sound, wanting attention or such that it must be acted
// on, with the workshop's odds; points go along with how worn the instrument is. Each combination
// is a world with a scope of its own; a line's chance is the probability of the worlds that contain
// it. Up to maxExactWorlds different worlds all are drawn, and chances are exact. Beyond that a
// sample stands in for them that keeps the odds of every point, so that the chance of a line that
// depends on a single point is still exact and others are near. A line that the buyer gave a chance
// is a doubt of its own, and what is there only for its sake comes and goes with it.
//
// It returns an Invalid Fault for edits that make no sense, and a Conflict Fault with its chain of
// reasons for an edit that other work forbids in some world, or the instrument itself. The same
// arguments always give the same scope.
func Draw(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	edits []Edit, odds domain.UnknownOdds,
) (Scope, error) {
	return draw(c, in, js, depth, edits, odds, false)
}

func draw(
	c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements, depth catalogue.Depth,
	edits []Edit, odds domain.UnknownOdds, unsparing bool,
) (Scope, error) {
	if !slices.Contains(catalogue.Depths, depth) {
		return Scope{}, domain.Refuse(domain.Invalid, unknownDepth, depth)
	}
	if err := CheckEdits(c, in.Kind, edits); err != nil {
		return Scope{}, err
	}
	o := overridesOf(c, edits)
	if err := checkContrary(c, in, js, o); err != nil {
		return Scope{}, err
	}
	p, err := newEngine(c.AtDepths(depth, o.depths), in, js, depth, o, odds, unsparing).drawWorlds()
	if err != nil {
		return Scope{}, err
	}
	if p, err = p.withChanceEdits(); err != nil {
		return Scope{}, err
	}
	s := p.scope(instrument.TakeOffOf(c, in, js))
	s.Idle = idleEdits(edits, s)
	return s, nil
}

// idleEdits returns the edits of a figure whose line isn't in the scope, or of hours that an
// outside firm does.
func idleEdits(edits []Edit, s Scope) []Edit {
	var list []Edit
	for _, e := range edits {
		switch e.Kind {
		case SetHours, SetQuantity, SetChance, SetMaking:
		default:
			continue
		}
		if e.leavesOut() {
			continue
		}
		at := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == e.Operation })
		if at < 0 || e.Kind == SetHours && s.Lines[at].Making == catalogue.Outside {
			list = append(list, e)
		}
	}
	return list
}
