package schedule

import (
	"math"
	"slices"
)

// profile is what is free of one station over time: steps by the minute; or what is free in each working tick, where it is only held while
// people work, since holds are short then.
type profile struct {
	steps []step // by time; the first stands before everything
	near  int    // where the last look-up ended; the next is often close

	ticks     []int16 // in the place of steps; nil where there are steps
	low, high int     // the ticks taken from lie between
}

// newProfile has so many units free, for so many ticks or, with none, for ever.
func newProfile(free int32, ticks Ticks) profile {
	if ticks == 0 {
		return profile{steps: []step{{beginning, free}}}
	}
	return profile{ticks: slices.Repeat([]int16{int16(free)}, int(ticks)), low: int(ticks)} //nolint:gosec // the caller has seen to it
}

// become makes the profile what another is, from which all that was taken since it last did differs.
func (p *profile) become(other *profile) {
	switch {
	case other.ticks == nil:
		p.steps = append(p.steps[:0], other.steps...)
		return
	case p.ticks == nil:
		p.ticks = slices.Clone(other.ticks)
	case p.low < p.high:
		copy(p.ticks[p.low:p.high], other.ticks[p.low:p.high])
	}
	p.low, p.high = len(p.ticks), 0
}

// step says that from a point on, until the next step, so many units are free; reservations can make it negative.
type step struct {
	at   int64
	free int32
}

const (
	beginning = math.MinInt64
	never     = math.MaxInt64
)

// find is the position of the step that covers a point.
func (p *profile) find(at int64) int {
	low, high := 0, len(p.steps)
	if k := p.near; k < high {
		if p.steps[k].at <= at {
			for low = k; low+1 < high && low < k+nearby; low++ {
				if p.steps[low+1].at > at {
					p.near = low
					return low
				}
			}
		} else {
			high = k
		}
	}
	for high-low > 1 {
		if middle := int(uint(low+high) >> 1); p.steps[middle].at <= at { //nolint:gosec // not negative
			low = middle
		} else {
			high = middle
		}
	}
	p.near = low
	return low
}

// nearby is how many steps a look-up goes ahead before it cuts the rest in halves.
const nearby = 4

// lacking reports whether the profile lacks quantity units somewhere in [from, to), and when the first lack ends.
func (p *profile) lacking(from, to int64, quantity int32) (until int64, lacks bool) {
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
		if p.steps[k].free >= quantity {
			continue
		}
		for k++; k < len(p.steps); k++ {
			if p.steps[k].free >= quantity {
				return p.steps[k].at, true
			}
		}
		return never, true
	}
	return 0, false
}

// firstLack is when the profile first lacks quantity units in [from, to), and when that lack ends.
func (p *profile) firstLack(from, to int64, quantity int32) (since, until int64, lacks bool) {
	if p.ticks != nil {
		if until, lacks = p.lacking(from, to, quantity); lacks {
			for since = from; int32(p.ticks[since]) >= quantity; {
				since++
			}
		}
		return since, until, lacks
	}
	for k := p.find(from); k < len(p.steps) && p.steps[k].at < to; k++ {
		if p.steps[k].free < quantity {
			since = max(p.steps[k].at, from)
			until, _ = p.lacking(since, to, quantity)
			return since, until, true
		}
	}
	return 0, 0, false
}

// lackingLast is the mirror of lacking: when the last lack in [from, to) begins.
func (p *profile) lackingLast(from, to int64, quantity int32) (since int64, lacks bool) {
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
		if p.steps[k].free < quantity {
			for k > 0 && p.steps[k-1].free < quantity {
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

// take lowers what is free in [from, to), below nothing if need be; a negative quantity gives back.
func (p *profile) take(from, to int64, quantity int32) {
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
	first := p.cut(from)
	p.near = first
	last := p.cut(to)
	for k := first; k < last; k++ {
		p.steps[k].free -= quantity
	}
	p.join(last)
	p.join(first)
}

// cut makes sure that a step begins at a point, and returns its position.
func (p *profile) cut(at int64) int {
	k := p.find(at)
	if p.steps[k].at == at {
		return k
	}
	p.steps = slices.Insert(p.steps, k+1, step{at, p.steps[k].free})
	return k + 1
}

// join removes a step that changes nothing.
func (p *profile) join(k int) {
	if k > 0 && k < len(p.steps) && p.steps[k].free == p.steps[k-1].free {
		p.steps = append(p.steps[:k], p.steps[k+1:]...)
	}
}
