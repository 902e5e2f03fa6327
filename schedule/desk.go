package schedule

import (
	"cmp"
	"slices"
)

// desk keeps the book of one station: who holds how much of it when, and the running total.
type desk struct {
	capacity int
	steps    []step // by time; before the first nothing is used
	holdings []holding
}

// step says that from an instant on, until the next step, so many units are used.
type step struct {
	at   Instant
	used int
}

// holding is a claim entered in the book, by an activity or a reservation; the other is none.
type holding struct {
	from, to    Instant
	quantity    int
	activity    int
	reservation int
}

// full reports whether the desk lacks quantity units somewhere in [from, to), and when the first lack ends.
func (d *desk) full(from, to Instant, quantity int) (until Instant, lacking bool) {
	at, exact := d.find(from)
	if !exact {
		at = max(0, at-1) // the step before covers from
	}
	for ; at < len(d.steps); at++ {
		s := d.steps[at]
		room := s.used+quantity <= d.capacity
		if lacking && room {
			return s.at, true
		}
		if s.at >= to && !lacking {
			return 0, false
		}
		lacking = lacking || !room
	}
	return 0, false
}

// holder is a holding that ends at an instant at which the desk has room again.
func (d *desk) holder(until Instant) holding {
	for _, h := range d.holdings {
		if h.to == until {
			return h
		}
	}
	return holding{activity: none, reservation: none}
}

// hold enters a claim, beyond capacity if need be.
func (d *desk) hold(h holding) {
	if h.to <= h.from {
		return
	}
	d.holdings = append(d.holdings, h)
	first, last := d.cut(h.from), d.cut(h.to)
	for i := first; i < last; i++ {
		d.steps[i].used += h.quantity
	}
}

// cut makes sure that a step begins at an instant and returns its position.
func (d *desk) cut(i Instant) int {
	at, exact := d.find(i)
	if !exact {
		used := 0
		if at > 0 {
			used = d.steps[at-1].used
		}
		d.steps = slices.Insert(d.steps, at, step{i, used})
	}
	return at
}

func (d *desk) find(i Instant) (int, bool) {
	return slices.BinarySearchFunc(d.steps, i, func(s step, i Instant) int { return cmp.Compare(s.at, i) })
}
