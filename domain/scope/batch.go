package scope

import (
	"math/bits"
	"slices"
)

// lanes are up to 64 worlds, one a bit.
type lanes = uint64

const (
	laneCount = 64
	everyLane = ^lanes(0)
)

// batch resolves 64 worlds at once, as resolver does one by one: every flag of a draft is a word
// with a bit for each world. It finds which work there is and how choices are settled, and keeps no
// calls, reasons or conflicts. It doesn't know the work of a job under way. A test holds it against
// resolver.
type batch struct {
	*engine
	findings []lanes   // by predicate
	away     []lanes   // by operation: the world doesn't need it
	awayBy   []lanes   // by chance of the buyer's: its line is away
	gone     [][]lanes // by choice and option: all that it does is away
	removed  []lanes   // by operation

	selected [][]lanes                  // by choice and option
	priority [][chosenByBuyer + 1]lanes // by choice: of what is selected
	settled  []lanes                    // by choice: some option is selected
	refused  [][]lanes
	lookBack lanes
	onlyUp   lanes
	seen     []seenSelection

	present   []lanes
	stoodIn   []lanes
	admits    []lanes // by operation: every settled choice admits it
	first     [][]lanes
	any       []lanes   // by choice: an option was called for
	leadsTo   [][]lanes // by choice: the option that the first call leads to
	supported []lanes
	called    []lanes                      // by companion
	spoken    [][][chosenByBuyer + 1]lanes // by choice and option: rules and the buyer, by priority
	needed    []need
	changed   bool
}

// need is a call by other work, in some worlds.
type need struct {
	from int
	optionRef
	in lanes
}

// seenSelection is a selection that some worlds had before.
type seenSelection struct {
	options [][]lanes
	valid   lanes
}

func (e *engine) newBatch() *batch {
	byOption := func() [][]lanes {
		list := make([][]lanes, len(e.choices))
		for i := range list {
			list[i] = make([]lanes, len(e.choices[i].options))
		}
		return list
	}
	n, m := len(e.possible), len(e.choices)
	b := &batch{
		engine: e, findings: make([]lanes, len(e.predicates.list)), away: make([]lanes, n),
		gone: byOption(), removed: make([]lanes, n), selected: byOption(),
		priority: make([][chosenByBuyer + 1]lanes, m), settled: make([]lanes, m), refused: byOption(),
		present: make([]lanes, n), stoodIn: make([]lanes, n), admits: make([]lanes, n),
		first: byOption(), any: make([]lanes, m), leadsTo: byOption(), supported: make([]lanes, m),
		called: make([]lanes, e.companionCount),
		spoken: make([][][chosenByBuyer + 1]lanes, m),
	}
	for i := range b.spoken {
		b.spoken[i] = make([][chosenByBuyer + 1]lanes, len(e.choices[i].options))
	}
	return b
}

// resolve draws the worlds whose doubts take the branches that branches holds, by doubt and branch.
// It returns the worlds in which the buyer's choice is refused.
func (b *batch) resolve(branches [][]lanes) (faulty lanes) {
	b.find(branches)
	clear(b.removed)
	for open := everyLane; open != 0; {
		faulty = faulty&^open | b.fixedPoint(open)
		open = 0
		for code := range b.overrides.removed {
			if at := b.c.Position(code); at >= 0 {
				more := b.present[at] &^ b.removed[at]
				b.removed[at] |= more
				open |= more
			}
		}
	}
	return faulty
}

// find sets what is found in each world, and what the buyer's chances leave out there.
func (b *batch) find(branches [][]lanes) {
	clear(b.findings)
	clear(b.away)
	b.awayBy = make([]lanes, len(b.doubts)-b.points)
	for i := range b.doubts {
		for j, in := range branches[i] {
			if x := &b.doubts[i].branches[j]; in != 0 {
				x.signature.each(len(b.findings), func(bit int) { b.findings[bit] |= in })
				if x.absent {
					b.awayBy[i-b.points] |= in
					b.leaveOut(b.doubts[i].line, in)
				}
			}
		}
	}
	for i := range b.choices {
		for k := range b.choices[i].options {
			gone := lanes(0)
			if operations := b.choices[i].options[k].operations; len(operations) > 0 {
				gone = everyLane
				for _, op := range operations {
					if b.possible[op] {
						gone &= b.away[op]
					}
				}
			}
			b.gone[i][k] = gone
		}
	}
}

func (b *batch) leaveOut(line int, in lanes) {
	for op := range b.away {
		if op == line || slices.Contains(b.goesWith[op], line) {
			b.away[op] |= in
		}
	}
}

// each calls a function with each bit below a limit that is set.
func (s signature) each(limit int, yield func(bit int)) {
	for i := range len(s) {
		for rest := s[i]; rest != 0; rest &= rest - 1 {
			if bit := 8*i + bits.TrailingZeros8(rest); bit < limit {
				yield(bit)
			}
		}
	}
}

// fixedPoint does what that of resolver does, for some worlds. The others keep their selections and
// come out as they did.
func (b *batch) fixedPoint(open lanes) (faulty lanes) {
	for i := range b.refused {
		for k := range b.refused[i] {
			b.refused[i][k] &^= open
		}
	}
	b.deselect(open)
	for open != 0 {
		b.run()
		again := lanes(0)
		for i := range b.seen {
			again |= b.seen[i].valid & sameLanes(b.seen[i].options, b.selected)
		}
		again &= open
		b.onlyUp = b.onlyUp&^again | b.lookBack&again
		b.lookBack |= again
		b.forget(again)
		before := make([][]lanes, len(b.selected))
		for i := range before {
			before[i] = slices.Clone(b.selected[i])
		}
		b.seen = append(b.seen, seenSelection{before, open})
		b.selectFrom(open)
		same := open & sameLanes(before, b.selected)
		refused, bad := b.refuseSelected(same)
		faulty |= bad
		open &^= same &^ refused
	}
	return faulty
}

// deselect starts some worlds anew, but for the options that are refused there.
func (b *batch) deselect(in lanes) {
	for i := range b.selected {
		for k := range b.selected[i] {
			b.selected[i][k] &^= in
		}
		for p := range b.priority[i] {
			b.priority[i][p] &^= in
		}
		b.settled[i] &^= in
	}
	b.lookBack &^= in
	b.onlyUp &^= in
	b.forget(in)
}

func (b *batch) forget(in lanes) {
	for i := range b.seen {
		b.seen[i].valid &^= in
	}
	b.seen = slices.DeleteFunc(b.seen, func(s seenSelection) bool { return s.valid == 0 })
}

// sameLanes returns the worlds in which two selections have the same options.
func sameLanes(x, y [][]lanes) lanes {
	same := everyLane
	for i := range x {
		for k := range x[i] {
			same &^= x[i][k] ^ y[i][k]
		}
	}
	return same
}

// run draws all worlds under their selections.
func (b *batch) run() {
	for _, list := range [][]lanes{b.present, b.stoodIn, b.any, b.supported, b.called} {
		clear(list)
	}
	for i := range b.first {
		clear(b.first[i])
		clear(b.leadsTo[i])
		clear(b.spoken[i])
	}
	b.needed = b.needed[:0]
	for op := range b.admits {
		b.admits[op] = b.admitted(op)
	}
	b.changed = true
	for _, k := range b.added {
		b.add(k.target, none, everyLane, k.priority)
	}
	for i := b.points; i < len(b.doubts); i++ {
		line := b.doubts[i].line
		b.add(target{line, none, none}, none, everyLane&^b.awayBy[i-b.points], pressing)
	}
	b.callCompanions()
	for i := range b.rules {
		r := &b.rules[i]
		in := b.holds(&r.when)
		if in == 0 {
			continue
		}
		press := lanes(0)
		if r.pressing {
			press = everyLane
		} else if r.presses != none {
			press = b.findings[r.presses]
		}
		for _, t := range r.calls {
			b.add(t, none, in&press, pressing)
			b.add(t, none, in&^press, ordinary)
		}
		b.callCompanions()
	}
}

func (b *batch) callCompanions() {
	for b.changed {
		b.changed = false
		for _, op := range b.accompanied {
			stands := b.present[op] | b.stoodIn[op]
			if stands == 0 {
				continue
			}
			for i := range b.companions[op] {
				k := &b.companions[op][i]
				in := stands &^ b.called[k.at]
				if in == 0 {
					continue
				}
				if in &= b.holds(&k.when); in == 0 {
					continue
				}
				b.called[k.at] |= in
				for _, t := range k.calls {
					b.add(t, op, in, pressing)
				}
			}
		}
	}
}

// holds returns the worlds in which a condition holds, as draft.holds does.
func (b *batch) holds(c *condition) lanes {
	soFar := b.holdsBy(c, b.soFar)
	if soFar == 0 || soFar&^b.lookBack == 0 {
		return soFar
	}
	return soFar & (b.lookBack | b.holdsBy(c, b.current))
}

func (b *batch) holdsBy(c *condition, option func(group, option int) lanes) lanes {
	if c.never {
		return 0
	}
	in := everyLane
	for i := range c.clauses {
		x := &c.clauses[i]
		held := lanes(0)
		if x.bit != none {
			held = b.findings[x.bit]
		}
		for k := range x.work {
			t := &x.work[k]
			there := b.contains(t.target, option)
			if t.denied {
				there = ^there
			}
			held |= there
		}
		if in &= held; in == 0 {
			return 0
		}
	}
	return in
}

func (b *batch) contains(t target, option func(group, option int) lanes) lanes {
	switch {
	case t.group != none && t.option != none:
		return option(t.group, t.option)
	case t.group == none && t.operation != none:
		return b.present[t.operation]
	default:
		return 0
	}
}

// current returns the worlds in which draft.currentOption is an option; where a condition asks,
// draft.selectedOption comes to the same.
func (b *batch) current(group, option int) lanes {
	return b.selected[group][option] | b.leadsTo[group][option]&^b.settled[group]
}

// soFar returns the worlds in which draft.optionSoFar is an option.
func (b *batch) soFar(group, option int) lanes {
	return b.current(group, option) & (b.supported[group] | ^b.settled[group])
}

// inEffect returns the worlds in which draft.optionInEffect is an option.
func (b *batch) inEffect(group, option int) lanes {
	o := &b.choices[group].options[option]
	there := b.any[group]
	if len(o.operations) > 0 {
		there = 0
		for _, op := range o.admits {
			there |= b.present[op]
		}
	}
	return b.selected[group][option] & there
}

// eachFallback calls a function with the options that an option gives way to, and where.
func (b *batch) eachFallback(group, option int, in lanes, yield func(option int, in lanes)) {
	refused := b.refused[group]
	for i := option; i < len(refused) && in != 0; i++ {
		if here := in &^ refused[i]; here != 0 {
			yield(i, here)
			in &^= here
		}
	}
	for i := option - 1; i >= 0 && in != 0; i-- {
		if here := in &^ refused[i]; here != 0 {
			yield(i, here)
			in &^= here
		}
	}
}

// add makes one call in some worlds.
func (b *batch) add(t target, from int, in lanes, p priority) {
	op, group := t.operation, t.group
	if in == 0 || group == none && (op == none || !b.possible[op]) {
		return
	}
	if group == none {
		if in &^= b.away[op]; in == 0 {
			return
		}
	}
	for _, o := range b.optionsNamedBy(t) {
		if from != none {
			b.needed = append(b.needed, need{from, o, in})
		} else {
			b.spoken[o.group][o.option][b.priorityOf(t, o, p)] |= in
		}
		b.eachFallback(o.group, o.option, in, func(option int, in lanes) {
			if more := in & b.selected[o.group][option] &^ b.supported[o.group]; more != 0 {
				b.supported[o.group] |= more
				b.changed = true
			}
		})
	}
	if group == none {
		b.include(op, from, in)
		return
	}
	if t.option == none {
		return
	}
	if fresh := in &^ b.any[group]; fresh != 0 {
		b.any[group] |= fresh
		b.first[group][t.option] |= fresh
		b.eachFallback(group, t.option, fresh, func(option int, in lanes) {
			b.leadsTo[group][option] |= in
		})
		b.changed = true
	}
	b.eachFallback(group, t.option, in, func(option int, in lanes) {
		in &= b.current(group, option)
		for _, op := range b.choices[group].options[option].operations {
			b.include(op, from, in)
		}
	})
}

// priorityOf is that of resolver.priorityFor.
func (b *batch) priorityOf(t target, o optionRef, p priority) priority {
	return b.priorityFor(call{target: t, priority: p}, o)
}

func (b *batch) include(op, from int, in lanes) {
	if !b.possible[op] {
		return
	}
	in &= b.admits[op] &^ b.away[op] &^ b.present[op]
	if in == 0 {
		return
	}
	if out := in & b.removed[op]; out != 0 {
		if out &^= b.stoodIn[op]; out != 0 && from != none && b.overrides.standsIn(b.code(op)) {
			b.stoodIn[op] |= out
			b.changed = true
		}
	}
	if in &^= b.removed[op]; in != 0 {
		b.present[op] |= in
		b.changed = true
	}
}

// admitted returns the worlds in which every settled choice admits an operation.
func (b *batch) admitted(op int) lanes {
	in := everyLane
	for _, r := range b.admittedBy[op] {
		fits := ^b.settled[r.group]
		for _, o := range b.admittedBy[op] {
			if o.group == r.group {
				fits |= b.selected[o.group][o.option]
			}
		}
		in &= fits
	}
	return in
}

// selectFrom is that of resolver; worlds that aren't open keep their selections.
func (b *batch) selectFrom(open lanes) {
	for g := range b.selected {
		next, at := b.calledBest(g)
		for _, k := range b.needed {
			if k.group == g {
				b.atLeast(k, next, &at)
			}
		}
		b.keepUp(g, next, &at)
		b.settled[g] &^= open
		for o := range next {
			b.selected[g][o] = b.selected[g][o]&^open | next[o]&open
			b.settled[g] |= b.selected[g][o]
		}
		for p := range at {
			b.priority[g][p] = b.priority[g][p]&^open | at[p]&open
		}
	}
}

// calledBest returns the best option that rules and the buyer call for, and its priority.
func (b *batch) calledBest(g int) (next []lanes, at [chosenByBuyer + 1]lanes) {
	n := len(b.selected[g])
	next = make([]lanes, n)
	leads, left := make([]lanes, n), everyLane
	for p := chosenByBuyer; p >= ordinary; p-- {
		clear(leads)
		some := lanes(0)
		for o := range n {
			if in := b.spoken[g][o][p] & left; in != 0 {
				some |= in
				b.eachFallback(g, o, in, func(option int, in lanes) { leads[option] |= in })
			}
		}
		if some == 0 {
			continue
		}
		for o := n - 1; o >= 0; o-- {
			in := leads[o] & left
			next[o] |= in
			at[p] |= in
			left &^= in
		}
	}
	return next, at
}

// atLeast raises selections to what other work calls for, as resolver.atLeast does.
func (b *batch) atLeast(k need, next []lanes, at *[chosenByBuyer + 1]lanes) {
	in := k.in & (b.present[k.from] | b.stoodIn[k.from])
	b.eachFallback(k.group, k.option, in, func(least int, in lanes) {
		for o, there := range next {
			enough := there &^ b.gone[k.group][o]
			if o < least {
				enough &= at[addedByBuyer] | at[chosenByBuyer]
			}
			in &^= enough
		}
		if in == 0 {
			return
		}
		for o := range next {
			next[o] &^= in
		}
		for p := range at {
			at[p] &^= in
		}
		next[least] |= in
		at[pressing] |= in
	})
}

// keepUp keeps the old selection where it is better and selections only move up.
func (b *batch) keepUp(g int, next []lanes, at *[chosenByBuyer + 1]lanes) {
	in := b.onlyUp & b.settled[g]
	if in == 0 {
		return
	}
	worse := in // where nothing is called for any more, or worse than before
	for o, there := range next {
		for p := range at {
			for old, had := range b.selected[g] {
				for was := range at {
					better := was > p || was == p && old > o
					if !better {
						worse &^= there & at[p] & had & b.priority[g][was]
					}
				}
			}
		}
	}
	for o := range next {
		next[o] = next[o]&^worse | b.selected[g][o]&worse
	}
	for p := range at {
		at[p] = at[p]&^worse | b.priority[g][p]&worse
	}
}

// refuseSelected bars selected options that finished drafts refuse. It returns the worlds in which
// it barred one, and those in which the buyer had chosen it.
func (b *batch) refuseSelected(in lanes) (again, faulty lanes) {
	for g := range b.choices {
		for o := range b.choices[g].options {
			here := in & b.selected[g][o] & (b.any[g] | b.inEffect(g, o)) &^ (again | faulty)
			if here == 0 {
				continue
			}
			if here &= b.holdsBy(&b.choices[g].options[o].refused, b.soFar); here == 0 {
				continue
			}
			buyers := here & (b.priority[g][addedByBuyer] | b.priority[g][chosenByBuyer])
			faulty |= buyers
			b.refused[g][o] |= here &^ buyers
			again |= here &^ buyers
		}
	}
	b.deselect(again)
	return again, faulty
}

// noBranches returns room for the worlds in which each doubt takes each branch.
func (e *engine) noBranches() [][]lanes {
	list := make([][]lanes, len(e.doubts))
	for i := range list {
		list[i] = make([]lanes, len(e.doubts[i].branches))
	}
	return list
}

// eachLane returns the worlds that are in a set.
func eachLane(in lanes) func(func(int) bool) {
	return func(yield func(int) bool) {
		for ; in != 0; in &= in - 1 {
			if !yield(bits.TrailingZeros64(in)) {
				return
			}
		}
	}
}
