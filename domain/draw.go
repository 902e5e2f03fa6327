package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
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
// Points that nobody looked at are drawn both ways: once as if they said
// nothing and once with the work that the rules hold against them. What only
// the second way brings has the chance odds; what only the first way brings,
// because the second settles a choice otherwise, has the rest; what both bring
// is certain.
//
// It returns an Invalid Fault for edits that make no sense, and a Conflict
// Fault with its chain of reasons for an edit that other work in the scope
// forbids. The same arguments always give the same scope.
func Draw(c *catalogue.Catalogue, in Instrument, js Judgements, depth catalogue.Depth, edits []Edit, odds decimal.Decimal) (Scope, error) {
	if !slices.Contains(catalogue.Depths, depth) {
		return Scope{}, Refuse(Invalid, "%q is no depth; use as_found, recondition or restore", depth)
	}
	w, err := wishesOf(c, in.Kind, edits)
	if err != nil {
		return Scope{}, err
	}
	c = c.AtDepths(depth, w.depths)
	d := &drawer{c: c, in: in, depth: depth, judgements: js.byPoint(), wishes: w}
	for i := range c.Rules {
		d.rules = append(d.rules, c.Expr(c.Rules[i].When))
	}
	seen, err := d.settle(false)
	if err != nil {
		return Scope{}, err
	}
	feared, err := d.settle(true)
	if err != nil {
		return Scope{}, err
	}
	s := Scope{Depth: depth, Settled: settledBy(c, seen, feared), Suggestions: suggestions(seen, feared)}
	s.Stops = d.stops(seen)
	for _, j := range js {
		if j.Severity == catalogue.Unknown {
			s.Unknown = append(s.Unknown, j.Point)
		}
	}
	takeOff := TakeOffOf(c, in, js)
	chances := d.chances(seen, feared, odds)
	for i := range c.Operations {
		op := &c.Operations[i]
		if l, ok := d.line(op, seen, feared, takeOff, chances); ok {
			s.Lines = append(s.Lines, l)
		}
	}
	s.Idle = idle(edits, s)
	return s, nil
}

// settledBy is how the choices are settled by what is known, or else by what is
// feared.
func settledBy(c *catalogue.Catalogue, seen, feared *sketch) map[string]string {
	settled := map[string]string{}
	for i := range c.Choices {
		choice := &c.Choices[i]
		for _, s := range []*sketch{seen, feared} {
			if _, done := settled[choice.Group]; !done && s.tookUp(choice) {
				settled[choice.Group] = s.taken[choice.Group].option
			}
		}
	}
	return settled
}

// suggestions are the remarks of both worlds in the order of their rules.
func suggestions(seen, feared *sketch) []Reason {
	all := slices.Clone(seen.suggestions)
	for _, x := range feared.suggestions {
		if !slices.ContainsFunc(all, func(y suggestion) bool { return y.rule == x.rule }) {
			all = append(all, x)
		}
	}
	slices.SortStableFunc(all, func(a, b suggestion) int { return a.rule - b.rule })
	var reasons []Reason
	for _, x := range all {
		reasons = append(reasons, x.reason)
	}
	return reasons
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

// stops are the findings that forbid a bid.
func (d *drawer) stops(s *sketch) []Stop {
	var list []Stop
	for i := range d.c.Points {
		p := &d.c.Points[i]
		if j, ok := d.judgements[p.Code]; ok && p.HardStop && j.Severity == catalogue.MustAct {
			list = append(list, Stop{Point: p.Code, Says: j.Says})
		}
	}
	if stop, ok := d.ivoryStop(); ok {
		list = append(list, stop)
	}
	for i := range d.c.Choices {
		choice := &d.c.Choices[i]
		if _, settled := s.taken[choice.Group]; s.wanted[choice.Group] != "" && !settled {
			list = append(list, Stop{Says: fmt.Sprintf("%s is called for, and every way to do it is refused", choice.Group)})
		}
	}
	return list
}
