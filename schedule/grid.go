package schedule

// grid marks quarter hours of elapsed time, from base on, by one bit each.
type grid struct {
	base  Instant // start of slot 0, on the quarter hour
	slots int
	words []uint64
}

func newGrid(base Instant, slots int) *grid {
	return &grid{base: base, slots: slots, words: make([]uint64, (slots+63)/64)}
}

func (g *grid) end() Instant { return g.base.Add(Minutes(g.slots) * TickMinutes) }

// set marks the slots that lie wholly inside [from, to); clear unmarks them.
func (g *grid) set(from, to Instant)   { g.mark(from, to, func(w *uint64, m uint64) { *w |= m }) }
func (g *grid) clear(from, to Instant) { g.mark(from, to, func(w *uint64, m uint64) { *w &^= m }) }

func (g *grid) mark(from, to Instant, apply func(word *uint64, mask uint64)) {
	first := (int64(from-g.base) + int64(TickMinutes) - 1) / int64(TickMinutes)
	limit := int64(to-g.base) / int64(TickMinutes)
	for at := first; at < limit; {
		next := min(limit, (at|63)+1)
		mask := ^uint64(0) << (at & 63)
		if rest := next & 63; rest != 0 {
			mask &= 1<<rest - 1
		}
		apply(&g.words[at>>6], mask)
		at = next
	}
}

func (g *grid) merge(other *grid) {
	for i, w := range other.words {
		g.words[i] |= w
	}
}
