package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// holds reports whether a condition holds both of what has come in so far and of the final
// selections. The first gives everything a reason that comes before it (a new plank because of new
// strings because of the new plank would have none); the second lets a rule yield to what comes
// only later.
func (d *draft) holds(c *condition) bool {
	return d.holdsBy(c, d.optionSoFar) && (d.lookBack || d.holdsBy(c, d.selectedOption))
}

// holdsBy reports whether a condition holds, with the options of the choices read by option.
func (d *draft) holdsBy(c *condition, option func(group int) int) bool {
	if c.never {
		return false
	}
	for i := range c.clauses {
		x := &c.clauses[i]
		if x.bit != none && d.world.signature.has(x.bit) {
			continue
		}
		if !d.worksBy(x.work, option) {
			return false
		}
	}
	return true
}

// worksBy reports whether any of the terms about the work holds.
func (d *draft) worksBy(work []workTerm, option func(group int) int) bool {
	for i := range work {
		if t := &work[i]; d.contains(t.target, option) != t.denied {
			return true
		}
	}
	return false
}

func (d *draft) contains(t target, option func(group int) int) bool {
	if t.group != none {
		return t.option != none && option(t.group) == t.option
	}
	return t.operation != none && d.present[t.operation]
}

// currentOption returns the selected option of a choice or, while none is selected, the one that
// the first call leads to; none where nothing calls for any.
func (d *draft) currentOption(group int) int {
	if s := d.selected[group]; s.option != none {
		return s.option
	}
	option, _ := d.fallback(group, d.firstCalled[group])
	return option
}

// optionSoFar returns the option of a choice that the calls have arrived at so far, or none.
func (d *draft) optionSoFar(group int) int {
	if d.selected[group].option != none && !d.supported[group] {
		return none
	}
	return d.currentOption(group)
}

// selectedOption returns the selected option of a choice or, while none is selected, optionSoFar.
func (d *draft) selectedOption(group int) int {
	if s := d.selected[group]; s.option != none {
		return s.option
	}
	return d.optionSoFar(group)
}

// optionInEffect returns the selected option of a choice where the finished draft contains it, else
// none.
func (d *draft) optionInEffect(group int) int {
	if !d.inEffect(group) {
		return none
	}
	return d.selected[group].option
}

// inEffect reports whether the finished draft contains the selected option of a choice: one of its
// operations or, if it has none, a call for it.
func (d *draft) inEffect(group int) bool {
	s := d.selected[group]
	if s.option == none {
		return false
	}
	o := d.choices[group].options[s.option]
	if len(o.operations) == 0 {
		return d.firstCalled[group] != none
	}
	return slices.ContainsFunc(o.admits, func(op int) bool { return d.present[op] })
}

// facts adds the finished draft's work to the facts about points.
func (d *draft) facts(f catalogue.Facts) catalogue.Facts {
	f.InScope = func(code catalogue.Code) bool { return d.has(code) }
	f.Settled = func(group string) string {
		t := d.target(catalogue.Call{Group: group})
		if t.group == none || !d.inEffect(t.group) {
			return ""
		}
		return d.choices[t.group].Options[d.selected[t.group].option].Name
	}
	return f
}
