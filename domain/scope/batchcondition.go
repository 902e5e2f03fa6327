package scope

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
