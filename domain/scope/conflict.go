package scope

import (
	"fmt"
	"strings"

	"bentside/domain"
)

// conflict checks the finished draft against the buyer's edits. It returns a Conflict Fault with
// the chain of reasons where an edit leaves out what other work brings along and doesn't say why,
// settles a choice less thoroughly than that, or adds an operation that the selections keep out.
func (r *resolver) conflict(d *draft) error {
	for _, k := range d.unmet {
		if err := r.omissionConflict(d, k); err != nil {
			return err
		}
	}
	for _, k := range d.calls {
		if !d.companionOption(k) {
			continue
		}
		if err := r.optionConflict(d, k); err != nil {
			return err
		}
	}
	return r.additionConflict(d)
}

// omissionConflict returns a Fault for a companion that the buyer removed without saying why, that
// isn't there in this world because the buyer gave it a chance, or that a choice excludes.
func (r *resolver) omissionConflict(d *draft, k call) error {
	op := k.target.operation
	if !d.stands(k.from) || d.present[op] {
		return nil
	}
	if !d.admitted(op) {
		return r.exclusionConflict(d, k)
	}
	var fault *domain.Fault
	switch with := d.absentWith(op); {
	case with != none && k.usual:
		return nil
	case with != none:
		fault = domain.Refuse(domain.Conflict,
			"%s can't be given a chance of its own: %s needs it", r.label(with), r.label(k.from))
		if with != op {
			fault.Chain = append(fault.Chain, fmt.Sprintf("%s goes with %s", r.code(op), r.code(with)))
		}
	case r.overrides.excused(r.code(op), k.usual):
		return nil
	case k.usual:
		fault = domain.Refuse(domain.Conflict,
			"%s can't be left out without a reason: %s usually brings it along; give the edit a why",
			r.label(op), r.label(k.from))
	default:
		fault = domain.Refuse(domain.Conflict,
			"%s can't be left out: %s needs it; if it is done, done elsewhere or kept, "+
				"say so with because, by and why", r.label(op), r.label(k.from))
	}
	fault.Chain = append(append(fault.Chain, r.needText(k)), d.chain(k.from)...)
	return fault
}

// exclusionConflict returns a Fault for needed work that a choice excludes, where the buyer settled
// the choice or brought in what needs the work, and nothing more thorough is done in its place.
func (r *resolver) exclusionConflict(d *draft, k call) error {
	for _, ref := range r.admittedBy[k.target.operation] {
		s := r.selected[ref.group]
		if k.usual || s.option == none || s.option >= ref.option ||
			s.priority < addedByBuyer && !d.fromBuyer(k.from) {
			continue
		}
		choice := r.choices[ref.group]
		fault := domain.Refuse(domain.Conflict, "%s can't be settled as %s: %s needs %s",
			choice.Group, choice.Options[s.option].Name, r.label(k.from), r.label(k.target.operation))
		fault.Chain = append([]string{r.needText(k)}, d.chain(k.from)...)
		return fault
	}
	return nil
}

// fromBuyer reports whether the first cause of an operation is an edit.
func (d *draft) fromBuyer(op int) bool {
	for range d.present {
		i := d.firstCall(op)
		if i < 0 || d.calls[i].from == none {
			return i >= 0 && d.calls[i].priority >= addedByBuyer
		}
		op = d.calls[i].from
	}
	return false
}

// optionConflict returns a Fault for an option that other work calls for, where the buyer settled
// its choice on less, or removed what the option does, without saying why.
func (r *resolver) optionConflict(d *draft, k call) error {
	group := k.target.group
	choice, s := r.choices[group], r.selected[group]
	var fault *domain.Fault
	switch less := d.settledBelow(k); {
	case less && k.usual && r.overrides.settledWhy(choice.Choice, s.option) != "":
		return nil
	case less && k.usual:
		fault = domain.Refuse(domain.Conflict,
			"%s can't be settled as %s without a reason: %s usually brings %s; give the edit a why",
			choice.Group, choice.Options[s.option].Name, r.label(k.from),
			choice.Options[k.target.option].Name)
	case less:
		fault = domain.Refuse(domain.Conflict, "%s can't be settled as %s: %s needs %s",
			choice.Group, choice.Options[s.option].Name, r.label(k.from),
			choice.Options[k.target.option].Name)
	case k.usual || s.option == none || d.inEffect(group) || !r.emptied(group, s.option):
		return nil
	default:
		fault = domain.Refuse(domain.Conflict,
			"what %s=%s does can't all be left out: %s needs %s or more; if it is done, done "+
				"elsewhere or kept, say so with because, by and why", choice.Group,
			choice.Options[s.option].Name, r.label(k.from), choice.Options[k.target.option].Name)
	}
	fault.Chain = append([]string{r.needText(k)}, d.chain(k.from)...)
	return fault
}

// companionOption reports whether other work, which is done, calls for an option.
func (d *draft) companionOption(k call) bool {
	return k.target.group != none && k.from != none && d.stands(k.from)
}

// settledBelow reports whether the buyer settled a choice on less than other work calls for.
func (d *draft) settledBelow(k call) bool {
	if !d.companionOption(k) {
		return false
	}
	s := d.selected[k.target.group]
	return s.priority >= addedByBuyer && s.option < k.target.option
}

// emptied reports whether the buyer removed something that an option does, and nobody answers for
// it.
func (r *resolver) emptied(group, option int) bool {
	removed := false
	for _, op := range r.choices[group].options[option].operations {
		if r.removed[op] {
			if r.overrides.excused(r.code(op), false) {
				return false
			}
			removed = true
		}
	}
	return removed
}

// additionConflict returns a Fault for an operation that the buyer added although the selections
// keep it out.
func (r *resolver) additionConflict(d *draft) error {
	for _, k := range d.calls {
		op := k.target.operation
		if k.priority != addedByBuyer || k.target.group != none || d.present[op] {
			continue
		}
		for _, ref := range r.admittedBy[op] {
			s := r.selected[ref.group]
			if s.option == none || s.option == ref.option {
				continue
			}
			choice := r.choices[ref.group]
			settled := choice.Options[s.option].Name
			fault := domain.Refuse(domain.Conflict, "%s can't be added: %s is settled as %s",
				r.label(op), choice.Group, settled)
			fault.Chain = []string{fmt.Sprintf(
				"%s belongs to %s, and a job takes one option of the group", r.code(op), r.optionsWith(op))}
			fault.Chain = append(fault.Chain, d.settledText(ref.group, s.option)...)
			return fault
		}
	}
	return nil
}

// optionsWith names the options that admit an operation.
func (e *engine) optionsWith(op int) string {
	names := make([]string, len(e.admittedBy[op]))
	for i, o := range e.admittedBy[op] {
		names[i] = e.choices[o.group].Group + "=" + e.choices[o.group].Options[o.option].Name
	}
	return strings.Join(names, " or ")
}

// optionsNamedBy returns the options that a call speaks for.
func (e *engine) optionsNamedBy(t target) []optionRef {
	switch {
	case t.group == none:
		return e.soleOptions[t.operation]
	case t.option == none:
		return nil
	default:
		return e.choices[t.group].refs[t.option : t.option+1]
	}
}
