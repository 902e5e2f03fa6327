package scope

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
