package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// call asks for an operation or an option, with its reason.
type call struct {
	reason   *Reason
	from     int // the operation that needs it; none for rules and the buyer
	target   target
	priority priority
	usual    bool // from can do without it
}

// priority ranks calls where options of a choice compete.
type priority int

const (
	ordinary      priority = iota // a finding that wants attention, or the depth
	pressing                      // a finding that must be acted on, or a need of other work
	addedByBuyer                  // work that the buyer added
	chosenByBuyer                 // an option that the buyer chose
)

// draft is the work of one world as the rules arrive at it. Within a run operations are only ever
// added, so that nothing but the order of the rules decides.
type draft struct {
	*engine
	selections
	world    world
	lookBack bool // conditions see only what has come in so far
	removed  []bool

	calls           []call
	unmet           []call // companions that the buyer, a choice or the world keeps out
	present         []bool
	stoodIn         []bool // by operation: removed, but done all the same
	firstCalled     []int  // by choice: the first option called for
	supported       []bool // by choice: a call has arrived at the selected option
	companionCalled []bool
	changed         bool // since callCompanions last found nothing more to call for
}

func (r *resolver) newDraft() *draft {
	n, m := len(r.possible), len(r.choices)
	flags := make([]bool, 2*n+m+r.companionCount)
	return &draft{
		engine: r.engine, world: r.world, removed: r.removed,
		calls: make([]call, 0, n), firstCalled: make([]int, m),
		present: flags[:n], stoodIn: flags[n : 2*n], supported: flags[2*n : 2*n+m],
		companionCalled: flags[2*n+m:],
	}
}

// run draws the draft anew under the given selections.
func (d *draft) run(s selections, lookBack bool) {
	d.selections, d.lookBack = s, lookBack
	d.calls, d.unmet = d.calls[:0], d.unmet[:0]
	clear(d.present)
	clear(d.stoodIn)
	clear(d.supported)
	clear(d.companionCalled)
	for i := range d.firstCalled {
		d.firstCalled[i] = none
	}
	d.changed = true
	d.stand()
	for _, k := range d.added {
		d.add(k)
	}
	d.callByChance()
	d.callCompanions()
	for i := range d.rules {
		r := &d.rules[i]
		if !d.holds(&r.when) {
			continue
		}
		p := ordinary
		if r.pressing || r.presses != none && d.world.signature.has(r.presses) {
			p = pressing
		}
		for _, target := range r.calls {
			d.add(call{reason: &r.reason, from: none, target: target, priority: p})
		}
		d.callCompanions()
	}
}

// callByChance calls for the lines that the buyer gave a chance, in the worlds that need them.
func (d *draft) callByChance() {
	for i := d.points; i < len(d.doubts); i++ {
		if x := &d.doubts[i]; !x.branches[d.world.branches[i]].absent {
			t := target{x.line, none, none}
			d.add(call{reason: &x.reason, from: none, target: t, priority: pressing})
		}
	}
}

// callCompanions calls for the companions of everything present until nothing more comes in.
func (d *draft) callCompanions() {
	for d.changed {
		d.changed = false
		for _, op := range d.accompanied {
			if !d.stands(op) {
				continue
			}
			for i := range d.companions[op] {
				k := &d.companions[op][i]
				if d.companionCalled[k.at] || !d.holds(&k.when) {
					continue
				}
				d.companionCalled[k.at] = true
				for _, target := range k.calls {
					if d.held.has(op) && !d.held.has(target.operation) {
						continue // what the job does without goes on without
					}
					d.add(call{
						reason: &k.reason, from: op, target: target, priority: pressing, usual: k.usual,
					})
				}
			}
		}
	}
}

// stands reports whether the operation is in the draft, or is done all the same.
func (d *draft) stands(op int) bool { return d.present[op] || d.stoodIn[op] }

// add records one call and includes the operations that it brings. A call for an option other than
// the selected one brings none.
func (d *draft) add(k call) {
	op, group := k.target.operation, k.target.group
	if group == none && (op == none || !d.possible[op]) {
		return
	}
	if group == none && d.absent(op) {
		d.lack(k, op)
		return
	}
	d.calls = append(d.calls, k)
	if group != none && d.firstCalled[group] == none {
		d.firstCalled[group], d.changed = k.target.option, true
	}
	d.support(k)
	for _, op := range d.calledOperations(k) {
		d.include(k, op)
	}
}

// support marks the choices whose selected option the call speaks for.
func (d *draft) support(k call) {
	if k.target.group != none {
		d.supportOption(k.target.group, k.target.option)
		return
	}
	for _, o := range d.soleOptions[k.target.operation] {
		d.supportOption(o.group, o.option)
	}
}

func (d *draft) supportOption(group, option int) {
	if option, ok := d.fallback(group, option); ok && option == d.selected[group].option &&
		!d.supported[group] {
		d.supported[group], d.changed = true, true
	}
}

// calledOperations returns the operations that a call brings unless something keeps them out.
func (d *draft) calledOperations(k call) []int {
	group := k.target.group
	if group == none {
		return d.identity[k.target.operation : k.target.operation+1]
	}
	option, ok := d.fallback(group, k.target.option)
	if !ok || d.currentOption(group) != option {
		return nil
	}
	return d.choices[group].options[option].operations
}

// include puts an operation into the draft unless a choice or the buyer keeps it out.
func (d *draft) include(k call, op int) {
	switch {
	case d.present[op], !d.possible[op]:
	case !d.admitted(op), d.absent(op):
		d.lack(k, op)
	case d.removed[op]:
		d.lack(k, op)
		if !d.stoodIn[op] && k.from != none && d.overrides.standsIn(d.code(op)) {
			d.stoodIn[op], d.changed = true, true
		}
	default:
		d.present[op], d.changed = true, true
	}
}

// lack records a companion that is called for and isn't there.
func (d *draft) lack(k call, op int) {
	if k.from != none {
		k.target = target{op, none, none}
		d.unmet = append(d.unmet, k)
	}
}

// absent reports whether this world doesn't need the operation: the buyer gave it a chance, or gave
// one to an operation of the same option that it makes no sense without.
func (d *draft) absent(op int) bool { return d.absentWith(op) != none }

// absentWith returns the operation by whose chance the given one is absent, or none.
func (d *draft) absentWith(op int) int {
	for i := d.points; i < len(d.doubts); i++ {
		x := &d.doubts[i]
		if x.branches[d.world.branches[i]].absent &&
			(x.line == op || slices.Contains(d.goesWith[op], x.line)) {
			return x.line
		}
	}
	return none
}

// optionAbsent reports whether all that an option does is absent from this world.
func (d *draft) optionAbsent(group, option int) bool {
	operations := d.choices[group].options[option].operations
	return len(operations) > 0 && !slices.ContainsFunc(operations, func(op int) bool {
		return d.possible[op] && !d.absent(op)
	})
}

// admitted reports whether every settled choice admits the operation.
func (d *draft) admitted(op int) bool {
	for _, r := range d.admittedBy[op] {
		s := d.selected[r.group]
		if s.option != none && !slices.Contains(d.admittedBy[op], optionRef{r.group, s.option}) {
			return false
		}
	}
	return true
}

// has reports whether the operation is in the draft.
func (d *draft) has(code catalogue.Code) bool {
	at := d.c.Position(code)
	return at >= 0 && d.present[at]
}
