package scope

import (
	"fmt"
	"slices"

	"bentside/domain"
)

// resolver searches for the options that all rules, needs and edits agree on in one world.
type resolver struct {
	*engine
	selections
	world   world
	removed []bool
}

// resolve draws the draft of one world. An edit that removes an operation only counts once the
// operation would otherwise be there, so that removing what isn't there changes nothing.
func (e *engine) resolve(w world) (*draft, error) {
	r := &resolver{engine: e, world: w, removed: make([]bool, len(e.possible))}
	for {
		d, err := r.fixedPoint()
		grown := false
		for code := range e.overrides.removed {
			if at := e.c.Position(code); at >= 0 && d.present[at] && !r.removed[at] {
				if !grown {
					r.removed, grown = slices.Clone(r.removed), true
				}
				r.removed[at] = true
			}
		}
		if grown {
			continue // whatever stood in the way of the edits may be gone now
		}
		if err == nil {
			err = r.conflict(d)
		}
		return d, err
	}
}

// fixedPoint runs the rules until the selections that they lead to are those that they were run
// with. A selected option that turns out to be refused gives way to its fallback. It returns a
// Fault where the buyer chose the refused option.
//
// It terminates: no option is refused twice, and when selections recur, the rules first only look
// back at what has come in so far; when they recur again, selections only move up, by priority and
// then by thoroughness.
func (r *resolver) fixedPoint() (*draft, error) {
	r.refused = make([][]bool, len(r.choices))
	for i := range r.choices {
		r.refused[i] = make([]bool, len(r.choices[i].options))
	}
	r.selected = r.noSelection()
	var seen [][]selection
	lookBack, onlyUp := false, false
	d := r.newDraft()
	for {
		d.run(r.selections, lookBack)
		before := r.selected
		if slices.ContainsFunc(seen, func(s []selection) bool { return sameOptions(s, before) }) {
			lookBack, onlyUp = true, lookBack
			seen = nil
		}
		seen = append(seen, before)
		r.selected = r.selectFrom(d, onlyUp)
		if !sameOptions(r.selected, before) {
			continue
		}
		d.selected = r.selected
		again, err := r.refuseSelected(d)
		if err != nil || !again {
			return d, err
		}
		seen = nil
		lookBack, onlyUp = false, false
	}
}

func (r *resolver) noSelection() []selection {
	list := make([]selection, len(r.choices))
	for i := range list {
		list[i].option = none
	}
	return list
}

// selectFrom selects for each choice the best option that a draft calls for: the buyer's, else the
// most thorough one with a pressing call, else the most thorough one. What other work needs or
// usually brings is the least that a choice can be settled on, unless by the buyer. With onlyUp, no
// selection gets worse than it was.
func (r *resolver) selectFrom(d *draft, onlyUp bool) []selection {
	next := r.noSelection()
	consider := func(group, option int, p priority) {
		option, ok := r.fallback(group, option)
		if s := (selection{option, p}); ok &&
			(next[group].option == none || s.betterThan(next[group])) {
			next[group] = s
		}
	}
	for _, k := range d.calls {
		if k.from == none {
			for _, o := range r.optionsNamedBy(k.target) {
				consider(o.group, o.option, r.priorityFor(k, o))
			}
		}
	}
	for i := range next {
		next[i] = r.keepHeld(i, next[i])
	}
	for _, k := range d.calls {
		if k.from != none && d.stands(k.from) {
			for _, o := range r.optionsNamedBy(k.target) {
				next[o.group] = r.atLeast(d, next[o.group], o)
			}
		}
	}
	for i, old := range r.selected {
		if onlyUp && old.option != none && (next[i].option == none || old.betterThan(next[i])) {
			next[i] = old
		}
	}
	return next
}

// priorityFor returns the priority with which a call speaks for an option. An operation that an
// option only allows never settles it against other findings, not even if the buyer added it.
func (e *engine) priorityFor(k call, o optionRef) priority {
	option := &e.choices[o.group].options[o.option]
	if k.priority == addedByBuyer && k.target.group == none &&
		!slices.Contains(option.operations, k.target.operation) {
		return ordinary
	}
	return k.priority
}

// atLeast returns a selection that is at least as thorough as the option that other work calls for:
// the selection itself if it is, or if the buyer made it and it is done in this world.
func (r *resolver) atLeast(d *draft, s selection, o optionRef) selection {
	least, ok := r.fallback(o.group, o.option)
	done := s.option != none && !d.optionAbsent(o.group, s.option)
	if !ok || done && (s.option >= least || s.priority >= addedByBuyer) {
		return s
	}
	return selection{least, pressing}
}

// refuseSelected looks for a selected option that the finished draft refuses. Where it finds one,
// it clears all selections, bars the option and returns true, or returns a Fault if the buyer chose
// it.
func (r *resolver) refuseSelected(d *draft) (bool, error) {
	for i := range r.choices {
		choice := &r.choices[i]
		s := r.selected[i]
		if s.option == none || d.firstCalled[i] == none && !d.inEffect(i) {
			continue
		}
		option := &choice.options[s.option]
		if s.priority < addedByBuyer && r.held != nil && r.held.tolerated[i][s.option] {
			continue
		}
		if !d.holdsBy(&option.refused, d.optionSoFar) {
			continue
		}
		if s.priority >= addedByBuyer {
			o := choice.Options[s.option]
			fault := domain.Refuse(domain.Conflict, "%s can't be settled as %s: %s",
				choice.Group, o.Name, o.RefusedWhy)
			fault.Chain = append(d.evidenceText(option.why.Points), d.workText(&option.refused)...)
			if len(fault.Chain) == 0 {
				fault.Chain = []string{fmt.Sprintf("the catalogue refuses %s=%s where %s",
					choice.Group, o.Name, o.Refused)}
			}
			return false, fault
		}
		r.refused[i][s.option] = true
		r.selected = r.noSelection()
		return true, nil
	}
	return false, nil
}
