package schedule

import "slices"

// justify turns the dates just made into a new order: everything is shifted right, last end first,
// as late as links and stations allow without moving a costly end, and then ranked by its new start
// (Li and Willis 1992; Valls, Ballestín and Quintanilla 2005; both from memory). Scheduled again in
// that order, work that was in the way of more urgent work lets it pass. The shifted dates serve as
// an order only: they ignore the floor, and what finds no later position stays where it was.
func (d *decoder) justify(rank []int32) {
	n := d.network
	d.unshifted = resized(d.unshifted, n.Len())
	copy(d.unshifted, d.dates)
	d.order = d.keys.order(d.order, d.rank, func(i int) Instant {
		return d.unshifted[i].TailEnd
	})
	slices.Reverse(d.order)
	finish := d.finish()
	d.clearProfiles()
	d.clearDates()
	for _, i := range d.order {
		at := d.unshifted[i]
		if n.nodes[i].fixed == minInstant && !n.nodes[i].underWay {
			d.assignments++
			end := finish
			if d.costly[i] {
				end = at.TailEnd
			}
			at = d.latestFeasible(i, end)
		}
		d.hold(i, &at, 1)
		d.dates[i] = at
	}
	d.order = d.keys.order(d.order, d.rank, func(i int) Instant { return d.dates[i].Start })
	for k, i := range d.order {
		rank[i] = index32(k)
	}
}

// sorter orders activities by an instant and then by rank. Both fit in one number: the instants of
// an axis lie within 2^31 minutes.
type sorter struct {
	keys []uint64
	of   []int32 // activities by rank
}

// order writes the activities into list by the instants at, ties by rank, which numbers them
// without gaps.
func (s *sorter) order(list, rank []int32, at func(i int) Instant) []int32 {
	s.keys, s.of, list = resized(s.keys, len(rank)), resized(s.of, len(rank)),
		resized(list, len(rank))
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

// latestFeasible returns the latest dates of activity i that end by an instant, leave what is
// shifted already as it is, and find room; its old dates if none are later.
func (d *decoder) latestFeasible(i int32, end Instant) Dates {
	n, nd, old := d.network, &d.network.nodes[i], &d.unshifted[i]
	at := d.path.latest(n, d.axis, d.dates, i, end)
	for at.Start > old.Start {
		w, since, short := d.lastShortage(i, &at)
		if !short {
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

// lastShortage returns a demand of activity i that finds no room at the dates at, and when the last
// shortage begins; false if all find room.
func (d *decoder) lastShortage(i int32, at *Dates) (*demand, int64, bool) {
	demands := d.demandsOf(i)
	for k := range demands {
		w := &demands[k]
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.held(w, at, next)
			if from >= to {
				continue
			}
			if since, short := d.profiles[w.station].lastShortageIn(from, to, w.quantity,
				w.state); short {
				return w, since, true
			}
		}
	}
	return nil, 0, false
}
