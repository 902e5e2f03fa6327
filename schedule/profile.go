package schedule

import (
	"math"
	"slices"
)

// profile is the free capacity of one station over time: steps by the minute, or a value for each
// working tick if it is only used while people work, since such uses are short.
type profile struct {
	steps     []step // by time; the first stands before everything
	full      int32  // free before anything is taken
	lastFound int    // where the last search ended; the next is often near

	ticks     []int16 // instead of steps; nil if there are steps
	low, high int     // the ticks changed lie between
}

// newProfile returns a profile with so many units free, for so many ticks or, if 0, for ever.
func newProfile(free int32, ticks Ticks) profile {
	if ticks == 0 {
		return profile{steps: []step{{at: beginning, free: free}}, full: free}
	}
	//nolint:gosec // checked by the caller
	return profile{ticks: slices.Repeat([]int16{int16(free)}, int(ticks)), low: int(ticks)}
}

// copyFrom makes the profile equal to another, from which it differs by what was taken since the
// last copy.
func (p *profile) copyFrom(other *profile) {
	switch {
	case other.ticks == nil:
		p.steps, p.full = append(p.steps[:0], other.steps...), other.full
		return
	case p.ticks == nil:
		p.ticks = slices.Clone(other.ticks)
	case p.low < p.high:
		copy(p.ticks[p.low:p.high], other.ticks[p.low:p.high])
	}
	p.low, p.high = len(p.ticks), 0
}

// step is the free capacity from a point on until the next step, and the state that what is taken
// needs; reservations can make the capacity negative.
type step struct {
	at          int64
	free, state int32
}

// lacks reports whether a step has fewer than quantity units free, or is in another state.
func (s *step) lacks(quantity, state int32) bool {
	return s.free < quantity || s.state != 0 && s.state != state
}

// take reduces the free capacity of a step. A state is over when all of its uses are given back.
func (s *step) take(quantity, state, full int32) {
	s.free -= quantity
	switch {
	case s.free == full:
		s.state = 0
	case s.state == 0:
		s.state = state
	case s.state != state:
		s.state = mixed
	}
}

const (
	beginning = math.MinInt64
	never     = math.MaxInt64
)

// find returns the position of the step that covers a point.
func (p *profile) find(at int64) int {
	low, high := 0, len(p.steps)
	if k := p.lastFound; k < high {
		if p.steps[k].at <= at {
			for low = k; low+1 < high && low < k+linearSteps; low++ {
				if p.steps[low+1].at > at {
					p.lastFound = low
					return low
				}
			}
		} else {
			high = k
		}
	}
	for high-low > 1 {
		//nolint:gosec // not negative
		if middle := int(uint(low+high) >> 1); p.steps[middle].at <= at {
			low = middle
		} else {
			high = middle
		}
	}
	p.lastFound = low
	return low
}

// linearSteps is how many steps a search goes ahead before it turns to bisection.
const linearSteps = 4

// shortageIn reports whether fewer than quantity units are free in a state somewhere in [from, to),
// and when the first shortage ends.
func (p *profile) shortageIn(from, to int64, quantity, state int32) (until int64, short bool) {
	if p.ticks != nil {
		for t := from; t < to; t++ {
			if int32(p.ticks[t]) < quantity {
				for t++; t < int64(len(p.ticks)) && int32(p.ticks[t]) < quantity; {
					t++
				}
				return t, true
			}
		}
		return 0, false
	}
	for k := p.find(from); k < len(p.steps) && p.steps[k].at < to; k++ {
		if !p.steps[k].lacks(quantity, state) {
			continue
		}
		for k++; k < len(p.steps); k++ {
			if !p.steps[k].lacks(quantity, state) {
				return p.steps[k].at, true
			}
		}
		return never, true
	}
	return 0, false
}

// firstShortageIn returns when fewer than quantity units are free in a state first in [from, to),
// and when that shortage ends.
func (p *profile) firstShortageIn(
	from, to int64, quantity, state int32,
) (since, until int64, short bool) {
	if p.ticks != nil {
		if until, short = p.shortageIn(from, to, quantity, state); short {
			for since = from; int32(p.ticks[since]) >= quantity; {
				since++
			}
		}
		return since, until, short
	}
	for k := p.find(from); k < len(p.steps) && p.steps[k].at < to; k++ {
		if p.steps[k].lacks(quantity, state) {
			since = max(p.steps[k].at, from)
			until, _ = p.shortageIn(since, to, quantity, state)
			return since, until, true
		}
	}
	return 0, 0, false
}

// lastShortageIn mirrors shortageIn: it returns when the last shortage in [from, to) begins.
func (p *profile) lastShortageIn(from, to int64, quantity, state int32) (since int64, short bool) {
	if p.ticks != nil {
		for t := to - 1; t >= from; t-- {
			if int32(p.ticks[t]) < quantity {
				for t > 0 && int32(p.ticks[t-1]) < quantity {
					t--
				}
				return t, true
			}
		}
		return 0, false
	}
	for k := p.find(to - 1); k >= 0; k-- {
		if p.steps[k].lacks(quantity, state) {
			for k > 0 && p.steps[k-1].lacks(quantity, state) {
				k--
			}
			return p.steps[k].at, true
		}
		if p.steps[k].at <= from {
			break
		}
	}
	return 0, false
}

// take reduces the free capacity in [from, to), below zero if need be, for a use in a state; a
// negative quantity gives back.
func (p *profile) take(from, to int64, quantity, state int32) {
	if to <= from {
		return
	}
	if p.ticks != nil {
		for t := range p.ticks[from:to] {
			p.ticks[from+int64(t)] -= int16(quantity) //nolint:gosec // checked
		}
		p.low, p.high = min(p.low, int(from)), max(p.high, int(to))
		return
	}
	first := p.split(from)
	p.lastFound = first
	last := p.split(to)
	for k := first; k < last; k++ {
		p.steps[k].take(quantity, state, p.full)
	}
	p.mergeAt(last)
	p.mergeAt(first)
}

// split makes a step begin at a point and returns its position.
func (p *profile) split(at int64) int {
	k := p.find(at)
	if p.steps[k].at == at {
		return k
	}
	p.steps = slices.Insert(p.steps, k+1, step{at, p.steps[k].free, p.steps[k].state})
	return k + 1
}

// mergeAt removes a step that changes nothing.
func (p *profile) mergeAt(k int) {
	if k > 0 && k < len(p.steps) && p.steps[k].free == p.steps[k-1].free &&
		p.steps[k].state == p.steps[k-1].state {
		p.steps = append(p.steps[:k], p.steps[k+1:]...)
	}
}
