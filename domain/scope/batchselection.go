package scope

import "slices"

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
