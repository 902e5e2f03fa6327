package rcpsp

import (
	"math/rand/v2"
	"slices"
)

// individual is a schedule of one side: starts counted from that side's beginning.
type individual struct {
	start []int32
	span  int32
	// weight is the sum of start times work. Of two plans of one length the lighter one has its
	// work nearer to the beginning, which leaves more room at the end and makes it easier to
	// shorten. Most plans of a population have the same length.
	weight   int64
	parallel bool // generated in parallel, as its children mostly are
}

func (a *individual) worse(b *individual) bool {
	return a.span > b.span || a.span == b.span && a.weight > b.weight
}

func (a *individual) copyFrom(b *individual) {
	copy(a.start, b.start)
	a.span, a.weight, a.parallel = b.span, b.weight, b.parallel
}

// mirror converts the starts of a plan of one side to those of the other.
func (net *network) mirror(in *individual, start []int32) {
	for i := range in.start {
		start[i] = in.span - in.start[i] - net.duration[i]
	}
}

func (net *network) weigh(start []int32) (weight int64) {
	for i, t := range start {
		weight += int64(t) * net.work[i]
	}
	return weight
}

// breed makes some children of pop and schedules them from the other side.
func (ln *lane) breed(pop []individual, which, children int, pressure float64) {
	for range children {
		if ln.done() {
			return
		}
		f, m := ln.rng.IntN(len(pop)), ln.rng.IntN(len(pop))
		if ln.rng.Float64() < pressure {
			f = tournament(ln.rng, pop, 2)
		}
		for m == f {
			m = ln.rng.IntN(len(pop))
		}
		ln.crossover(&pop[f], &pop[m])
		ln.mutate()
		ln.reverse(ln.key)
		ln.dec.order = ln.dec.listByKey(which^1, ln.key, ln.dec.order)
		otherwise := ln.rng.Float64() < schemeChangeRate
		ln.generate(which^1, ln.next(which^1, m, pop[f].parallel != otherwise))
	}
}

// tournament returns the best of some members drawn with replacement.
func tournament(rng *rand.Rand, pop []individual, size int) int {
	best := rng.IntN(len(pop))
	for range size - 1 {
		if k := rng.IntN(len(pop)); pop[best].worse(&pop[k]) {
			best = k
		}
	}
	return best
}

// crossover keeps an interval of the father together and takes the activities before and after it
// in the mother's order.
func (ln *lane) crossover(f, m *individual) {
	span := f.span
	shares := ln.net.scale() * float64(span)
	lo, hi := int32(keptMin*shares), max(1, int32(keptMax*shares))
	length := lo + ln.rng.Int32N(hi-lo+1)
	from := ln.rng.Int32N(span - length + 1)
	to := from + length
	// Far enough to keep the three groups apart, mirrored or not.
	apart := max(f.span, m.span) + ln.net.longest + 1
	for i := range ln.key {
		switch fs := f.start[i]; {
		case fs >= from && fs < to:
			ln.key[i] = fs
		case m.start[i] < from:
			ln.key[i] = m.start[i] - apart
		default:
			ln.key[i] = m.start[i] + apart
		}
	}
}

// mutate moves a few activities of the child.
func (ln *lane) mutate() {
	reach, rate := ln.net.meanDuration, mutationRate*ln.net.scale()
	for i := range ln.key {
		if ln.rng.Float64() < rate {
			ln.key[i] += ln.rng.Int32N(2*reach+1) - reach
		}
	}
}

// replace puts the child into the slot that its mother has on the other side, whose member is
// mostly a relative, unless that member is better; then, if it may take over, into the slot of the
// worst member, unless even that is better. Families last this way (crowding; De Jong 1975, from
// memory). A copy of a member is rejected. The buffers are exchanged.
func replace(pop []individual, child *individual, place int, takesOver bool) {
	worst := 0
	for k := range pop {
		if pop[k].weight == child.weight && slices.Equal(pop[k].start, child.start) {
			return
		}
		if pop[k].worse(&pop[worst]) {
			worst = k
		}
	}
	if place < 0 || place >= len(pop) || child.worse(&pop[place]) {
		if !takesOver {
			return
		}
		place = worst
	}
	if !child.worse(&pop[place]) {
		pop[place], *child = *child, pop[place]
	}
}
