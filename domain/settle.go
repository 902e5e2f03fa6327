package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// taken is how a choice is settled; none is the option of one that isn't.
type taken struct {
	option int
	weight weight
}

// settlement is how the choices are settled, and which of their options are
// refused.
type settlement struct {
	taken   []taken
	refused [][]bool
}

// giveWay is the option itself, or the next more thorough one that isn't
// refused, or else the next less thorough one; none and false where all are
// refused.
func (s settlement) giveWay(group, option int) (int, bool) {
	if option == none {
		return none, false
	}
	refused := s.refused[group]
	for i := option; i < len(refused); i++ {
		if !refused[i] {
			return i, true
		}
	}
	for i := option - 1; i >= 0; i-- {
		if !refused[i] {
			return i, true
		}
	}
	return none, false
}

// gaveWay is why options gave way between the one called for and the one that
// it came to.
func (s *sketch) gaveWay(t target) []*Reason {
	var list []*Reason
	to, _ := s.giveWay(t.group, t.option)
	options := s.choices[t.group].options
	for i := t.option; i >= 0 && i < len(options) && i != to; i++ {
		list = append(list, &options[i].why)
	}
	if to != none && to < t.option {
		for i := t.option - 1; i > to; i-- {
			list = append(list, &options[i].why)
		}
	}
	return list
}

// settling is the search for the options that all rules, needs and wishes
// agree on.
type settling struct {
	*drawer
	settlement
	world   world
	removed []bool
}

// settle draws the sketch of one world. Only what the buyer removed and would
// be there counts as removed, so that removing what isn't there changes
// nothing.
func (d *drawer) settle(w world) (*sketch, error) {
	g := &settling{drawer: d, world: w, removed: make([]bool, len(d.possible))}
	for {
		s, err := g.agree()
		grown := false
		for code, gone := range d.wishes.removed {
			if at := d.c.Position(code); gone && at >= 0 && s.present[at] && !g.removed[at] {
				if !grown {
					g.removed, grown = slices.Clone(g.removed), true
				}
				g.removed[at] = true
			}
		}
		if grown {
			continue // and what stood in the way of the edits may be gone with it
		}
		if err == nil {
			err = g.objections(s)
		}
		return s, err
	}
}

// agree runs the rules until the choices that they lead to are the choices
// that they were run with. An option that is called for but refused gives way
// to the next more thorough one. The error is a Fault for an option that the
// buyer chose and that is refused.
//
// It ends: no option is refused twice, and a settlement that comes round again
// makes the rules look back only, then makes choices only move up, by weight
// and then by thoroughness.
func (g *settling) agree() (*sketch, error) {
	g.refused = make([][]bool, len(g.choices))
	for i := range g.choices {
		g.refused[i] = make([]bool, len(g.choices[i].options))
	}
	g.taken = g.unsettled()
	var seen [][]taken
	lookBack, onlyUp := false, false
	s := g.sketch()
	for {
		g.run(s, lookBack)
		before := g.taken
		if slices.ContainsFunc(seen, func(t []taken) bool { return sameOptions(t, before) }) {
			lookBack, onlyUp = true, lookBack
			seen = nil
		}
		seen = append(seen, before)
		g.taken = g.settledBy(s, onlyUp)
		if !sameOptions(g.taken, before) {
			continue
		}
		s.taken = g.taken
		again, err := g.refuse(s)
		if err != nil || !again {
			return s, err
		}
		seen = nil
		lookBack, onlyUp = false, false
	}
}

func (g *settling) unsettled() []taken {
	list := make([]taken, len(g.choices))
	for i := range list {
		list[i].option = none
	}
	return list
}

func sameOptions(a, b []taken) bool {
	return slices.EqualFunc(a, b, func(x, y taken) bool { return x.option == y.option })
}

// settledBy settles each choice on the best option that a sketch calls for:
// the buyer's, else the most thorough one that something pressing calls for,
// else the most thorough one called for.
func (g *settling) settledBy(s *sketch, onlyUp bool) []taken {
	next := g.unsettled()
	consider := func(group, option int, w weight) {
		option, ok := g.giveWay(group, option)
		if t := (taken{option, w}); ok && (next[group].option == none || t.betterThan(next[group])) {
			next[group] = t
		}
	}
	for _, k := range s.calls {
		if k.target.group != none {
			consider(k.target.group, k.target.option, k.weight)
			continue
		}
		refs := g.refs[k.target.operation]
		for i, r := range refs {
			if !slices.ContainsFunc(refs[:i], r.sameGroup) && !slices.ContainsFunc(refs[i+1:], r.sameGroup) {
				consider(r.group, r.option, k.weight)
			}
		}
	}
	for i, old := range g.taken {
		if onlyUp && old.option != none && (next[i].option == none || old.betterThan(next[i])) {
			next[i] = old
		}
	}
	return next
}

// betterThan reports whether t settles a choice with more weight than o, or
// with the same weight on a more thorough option.
func (t taken) betterThan(o taken) bool {
	if t.weight != o.weight {
		return t.weight > o.weight
	}
	return t.option > o.option
}

// refuse finds a settled option that the finished sketch refuses. It starts
// the settling anew without that option and returns true, or returns a Fault
// where the buyer chose it.
func (g *settling) refuse(s *sketch) (bool, error) {
	for i := range g.choices {
		choice := &g.choices[i]
		t := g.taken[i]
		if t.option == none || s.wanted[i] == none && !s.tookUp(i) {
			continue
		}
		option := &choice.options[t.option]
		if !s.holdsBy(&option.refused, s.settledSoFar) {
			continue
		}
		if t.weight >= buyersWish {
			o := choice.Options[t.option]
			fault := Refuse(Conflict, "%s can't be settled as %s: %s", choice.Group, o.Name, o.RefusedWhy)
			fault.Chain = s.evidence(option.why.Points)
			return false, fault
		}
		g.refused[i][t.option] = true
		g.taken = g.unsettled()
		return true, nil
	}
	return false, nil
}

// tookUp reports whether the option that a choice is settled on is in the
// sketch: one of its operations is, or it was called for and has none.
func (s *sketch) tookUp(group int) bool {
	t := s.taken[group]
	if t.option == none {
		return false
	}
	o := s.choices[group].options[t.option]
	if len(o.operations) == 0 {
		return s.wanted[group] != none
	}
	return slices.ContainsFunc(o.admits, func(op int) bool { return s.present[op] })
}

// speaksFor is the option of a choice that a call speaks for: the one it names,
// or the only one that admits its operation; none where there is none.
func (d *drawer) speaksFor(group int, t target) int {
	if t.group != none {
		if t.group == group {
			return t.option
		}
		return none
	}
	only := none
	for _, r := range d.refs[t.operation] {
		switch {
		case r.group != group:
		case only != none:
			return none
		default:
			only = r.option
		}
	}
	return only
}

// named is an operation with its name.
func (d *drawer) named(op int) string {
	return fmt.Sprintf("%s (%s)", d.code(op), d.c.Operations[op].Name)
}

// code is the code of an operation; empty where there is none.
func (d *drawer) code(op int) catalogue.Code {
	if op == none {
		return ""
	}
	return d.c.Operations[op].Code
}
