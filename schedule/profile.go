package schedule

import (
	"math"
	"slices"
)

// profile is what is free of one station over time: by the minute, or by the working tick where it is only held while people work.
type profile struct {
	steps []step // by time; the first stands before everything
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
	for high-low > 1 {
		if middle := int(uint(low+high) >> 1); p.steps[middle].at <= at { //nolint:gosec // not negative
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// lacking reports whether the profile lacks quantity units somewhere in [from, to), and when the first lack ends.
func (p *profile) lacking(from, to int64, quantity int32) (until int64, lacks bool) {
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
	first := p.cut(from)
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
