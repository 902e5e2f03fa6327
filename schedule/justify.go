package schedule

import "slices"

// justify turns the dates just made into a new order: everything is pushed, last end first, as late as links and stations allow without
// any costly end moving, and then ranked by where it starts (Li and Willis 1992; Valls, Ballestín and Quintanilla 2005; both from memory).
// Placed again in that order, what had been in the way of more urgent work lets it pass. The pushed dates serve as an order only: they
// don't look at the floor, and what finds no later place stays where it was.
func (d *decoder) justify(rank []int32) {
	n := d.network
	d.pushed = grown(d.pushed, n.Len())
	copy(d.pushed, d.dates)
	d.order = d.keys.order(d.order, d.rank, func(i int) Instant { return d.pushed[i].TailEnd })
	slices.Reverse(d.order)
	finish := d.finish()
	d.vacate()
	d.unplace()
	for _, i := range d.order {
		at := d.pushed[i]
		if n.nodes[i].fixed == minInstant && !n.nodes[i].underWay {
			d.tried++
			end := finish
			if d.costly[i] {
				end = at.TailEnd
			}
			at = d.findLast(i, end)
		}
		d.hold(i, &at, 1)
		d.dates[i] = at
	}
	d.order = d.keys.order(d.order, d.rank, func(i int) Instant { return d.dates[i].Start })
	for k, i := range d.order {
		rank[i] = index32(k)
	}
}

// sorter orders activities by an instant and then by rank. Both fit one number: the instants of an axis lie within 2^31 minutes.
type sorter struct {
	keys []uint64
	of   []int32 // activities by rank
}

// order writes the activities into list by the instants at, equal ones by rank, which numbers them without gaps.
func (s *sorter) order(list, rank []int32, at func(i int) Instant) []int32 {
	s.keys, s.of, list = grown(s.keys, len(rank)), grown(s.of, len(rank)), grown(list, len(rank))
	first := maxInstant
	for i := range rank {
		first = min(first, at(i))
	}
	for i, r := range rank {
		s.of[r] = index32(i)
		s.keys[i] = uint64(at(i)-first)<<32 | uint64(r) //nolint:gosec // neither is negative
	}
	slices.Sort(s.keys)
	for k, key := range s.keys {
		list[k] = s.of[key&(1<<32-1)]
	}
	return list
}

// findLast is the last place for activity i that ends by an instant, leaves what is pushed already, and has room; its old place where none
// is later.
func (d *decoder) findLast(i int32, end Instant) Dates {
	n, nd, old := d.network, &d.network.nodes[i], &d.pushed[i]
	at := d.path.latest(n, d.axis, d.dates, i, end)
	for at.Start > old.Start {
		w, since, lacks := d.busyLast(i, &at)
		if !lacks {
			return at
		}
		if since == beginning {
			break
		}
		p := pointFinish
		if w.hold == HoldThroughTail {
			p = pointTail
		}
		s, instant := Ticks(since)-nd.work, Instant(since)
		switch {
		case !d.byTick[w.station]:
			s = nd.startFor(d.axis, p, instant)
		case nd.work == 0:
			instant = d.axis.endBefore(Ticks(since))
		}
		if p == pointTail {
			instant = instant.Add(-nd.tail)
		}
		s, instant = min(s, at.StartTick-1), min(instant, at.Start-1)
		if nd.work > 0 && s < old.StartTick || nd.work == 0 && instant < old.Start {
			break
		}
		at = nd.dates(d.axis, s, instant)
	}
	return *old
}

// busyLast reports a station that has no room for activity i at the dates at, and when the last lack begins.
func (d *decoder) busyLast(i int32, at *Dates) (*want, int64, bool) {
	wants := d.of(i)
	for k := range wants {
		w := &wants[k]
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.stretch(w, at, next)
			if from >= to {
				continue
			}
			if since, lacks := d.free[w.station].lackingLast(from, to, w.quantity); lacks {
				return w, since, true
			}
		}
	}
	return nil, 0, false
}
