package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// Draw draws up the scope of an instrument at a depth: what the rules of the
// catalogue call for by the judgements, with everything that this work needs,
// choices settled, and the buyer's edits on top.
//
// A choice is settled by the buyer's word, else on the most thorough option
// that a finding that must be acted on or other work calls for, else on the
// most thorough one called for. An option that is refused gives way to the next
// more thorough one.
//
// A point that nobody looked at may be found sound, wanting attention or such
// that it must be acted on, with the workshop's odds, whatever other points are
// found like. Every way in which all of them may come out is a world with its
// scope; a line's chance is how likely the worlds are that have it. Up to
// exactWorlds different worlds all are drawn, and chances are exact; beyond
// that a plan of worlds stands in for them that keeps the odds of every point,
// so that the chance of a line that hangs on one point is still exact and
// others are near. A line that the buyer gave a chance is a doubt of its own,
// and what is there only for its sake comes and goes with it.
//
// It returns an Invalid Fault for edits that make no sense, and a Conflict
// Fault with its chain of reasons for an edit that other work forbids in some
// world. The same arguments always give the same scope.
func Draw(c *catalogue.Catalogue, in Instrument, js Judgements, depth catalogue.Depth, edits []Edit, odds UnknownOdds) (Scope, error) {
	if !slices.Contains(catalogue.Depths, depth) {
		return Scope{}, Refuse(Invalid, "%q is no depth; use as_found, recondition or restore", depth)
	}
	w, err := wishesOf(c, in.Kind, edits)
	if err != nil {
		return Scope{}, err
	}
	v, err := newDrawer(c.AtDepths(depth, w.depths), in, js, depth, w, odds).view()
	if err != nil {
		return Scope{}, err
	}
	if v, err = v.withBuyersChances(); err != nil {
		return Scope{}, err
	}
	s := v.scope(TakeOffOf(c, in, js))
	s.Idle = idle(edits, s)
	return s, nil
}

// idle are the edits of a figure whose line is not in the scope, or of hours
// that an outside firm does.
func idle(edits []Edit, s Scope) []Edit {
	var list []Edit
	for _, e := range edits {
		switch e.Kind {
		case SetHours, SetQuantity, SetChance, SetMaking:
		default:
			continue
		}
		at := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == e.Operation })
		if at < 0 || e.Kind == SetHours && s.Lines[at].Making == catalogue.Outside {
			list = append(list, e)
		}
	}
	return list
}
