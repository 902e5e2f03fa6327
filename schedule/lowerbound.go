package schedule

import (
	"context"
	"math"
	"slices"
)

// lowerBound returns what every plan costs at least, in money times minutes.
//
//   - No end is earlier than on the critical path, nor than one station could have done all the
//     work that the end waits for, followed by what must follow that work (endBounds).
//   - The last of all work on a station can't end before its capacity has sufficed for all of it
//     (finishBound).
//   - Ends that share a station can't all be early (meanBusyBound, which improves with the rounds
//     spent on it).
func (m *model) lowerBound(ctx context.Context, rounds int) int64 {
	b := &relaxation{model: m, users: make([][]user, len(m.profiles))}
	finish := m.path.Finish
	for i := range m.network.nodes {
		if nd := &m.network.nodes[i]; nd.work > 0 && nd.fixed == minInstant {
			for _, w := range m.demandsOf(index32(i)) {
				if !w.exclusive {
					b.users[w.station] = append(b.users[w.station],
						user{index32(i), int64(w.quantity) * int64(nd.work), w.hold})
				}
			}
		}
		finish = max(finish, m.path.Activities[i].Early.TailEnd)
	}
	for s := range m.profiles {
		finish = max(finish, b.finishBound(s))
	}
	b.findOwners()
	b.endBounds()
	byDay := int64(0)
	for k := range m.costs {
		byDay += m.costs[k].at(m.path.DataDate, b.ends[k])
	}
	for s := range m.profiles {
		if rounds == 0 {
			break
		}
		byDay = max(byDay, b.meanBusyBound(ctx, s, rounds))
	}
	return m.finishCost*int64(finish-m.path.DataDate) + byDay
}

// at returns the cost of an end at an instant, in money times minutes.
func (c *cost) at(from, end Instant) int64 {
	return c.rate*int64(max(0, end-from)) + c.lateRate*int64(max(0, end-c.due))
}

// relaxation computes what no plan can undercut.
type relaxation struct {
	*model
	users [][]user // per station, the work on it that isn't fixed
	// Per activity, the cost whose end waits for it; none if no end does, the first if several do.
	owners    []int32
	remaining []distance // per activity with an owner, what follows its finish
	ends      []Instant
	openings  []Ticks // ticks at which the axis opens
	spans     map[Ticks]Minutes
}

// user is an activity and its work on a station, in ticks times units.
type user struct {
	activity int32
	work     int64
	hold     Hold
}

// distance is the least that lies between an activity's attended finish and the end that waits for
// it, in minutes and in working ticks.
type distance struct {
	minutes Minutes
	ticks   Ticks
}

// finishBound returns the earliest instant by which a station can have done all its work.
func (b *relaxation) finishBound(s int) Instant {
	work, first, tail := int64(0), b.axis.Len(), maxTicks.Minutes()
	for _, u := range b.users[s] {
		work += u.work
		first = min(first, b.path.Activities[u.activity].Early.StartTick)
		tail = min(tail, b.network.nodes[u.activity].tail)
	}
	return b.stationEnd(s, first, work, distance{minutes: tail})
}

// stationEnd returns the earliest end of work on a station that begins with a tick, with what must
// follow it.
func (b *relaxation) stationEnd(s int, first Ticks, work int64, then distance) Instant {
	capacity := int64(b.problem.Stations[s].Capacity)
	end := first + Ticks((work+capacity-1)/capacity)
	if work == 0 || end > b.axis.Len()-then.ticks {
		return minInstant // no plan reaches there, so no bound needs to
	}
	return max(b.axis.endBefore(end).Add(then.minutes), b.axis.endBefore(end+then.ticks))
}

// findOwners determines what each costly end waits for, and what lies between.
func (b *relaxation) findOwners() {
	b.owners = slices.Repeat([]int32{none}, b.network.Len())
	b.remaining = make([]distance, b.network.Len())
	var open []int32
	for k := range b.costs {
		if b.costs[k].rate == 0 && b.costs[k].lateRate == 0 {
			continue
		}
		open = append(open[:0], b.costs[k].activity)
		for len(open) > 0 {
			i := open[len(open)-1]
			open = open[:len(open)-1]
			if b.owners[i] != none || b.network.nodes[i].fixed != minInstant {
				continue
			}
			b.owners[i] = index32(k)
			for _, e := range b.network.incoming(i) {
				if e.followsFinish() {
					open = append(open, e.from)
				}
			}
		}
	}
	for _, i := range slices.Backward(b.network.order) {
		k := b.owners[i]
		if k == none {
			continue
		}
		if i == b.costs[k].activity {
			b.remaining[i] = distance{minutes: b.network.nodes[i].tail}
		}
		for _, at := range b.network.outgoing(i) {
			if e := &b.network.edges[at]; e.followsFinish() && b.owners[e.to] == k {
				b.remaining[i] = b.remaining[i].atLeast(b.remainingAcross(e))
			}
		}
	}
}

// followsFinish reports whether an edge keeps the activity it leads to after the attended finish of
// the one it comes from.
func (e *edge) followsFinish() bool {
	return !e.atMost && e.fromPoint != pointStart && e.lag >= 0
}

// remainingAcross returns the least distance between the finish that an edge comes from and the end
// that waits for it.
func (b *relaxation) remainingAcross(e *edge) distance {
	r := b.remaining[e.to]
	if e.point == pointStart {
		r.ticks += b.network.nodes[e.to].work
		r.minutes += b.network.nodes[e.to].work.Minutes()
	}
	if e.fromPoint == pointTail {
		r.minutes += b.network.nodes[e.from].tail
	}
	if e.working {
		r.ticks += Ticks(e.lag)
		r.minutes += Ticks(e.lag).Minutes()
	} else {
		r.minutes += Minutes(e.lag)
	}
	return r
}

func (r distance) atLeast(other distance) distance {
	return distance{max(r.minutes, other.minutes), max(r.ticks, other.ticks)}
}

// endBounds computes when each costly end can be at the earliest if there were no other: by the
// critical path, and by what it waits for on any one station.
func (b *relaxation) endBounds() {
	b.ends = make([]Instant, len(b.costs))
	for k := range b.costs {
		b.ends[k] = b.path.Activities[b.costs[k].activity].Early.TailEnd
	}
	type load struct {
		first Ticks
		work  int64
		then  distance
	}
	loads := make([]load, len(b.costs))
	for s := range b.users {
		for k := range loads {
			loads[k] = load{first: b.axis.Len(), then: distance{maxTicks.Minutes(), maxTicks}}
		}
		for _, u := range b.users[s] {
			if k := b.owners[u.activity]; k != none {
				l, then := &loads[k], b.remaining[u.activity]
				l.first = min(l.first, b.path.Activities[u.activity].Early.StartTick)
				l.work += u.work
				l.then = distance{min(l.then.minutes, then.minutes), min(l.then.ticks, then.ticks)}
			}
		}
		for k, l := range loads {
			if l.work > 0 {
				b.ends[k] = max(b.ends[k], b.stationEnd(s, l.first, l.work, l.then))
			}
		}
	}
}

// shortestSpan returns the least elapsed time that so many ticks take, wherever they lie from the
// data date on. The shortest span begins when the axis opens.
func (b *relaxation) shortestSpan(ticks Ticks) Minutes {
	if ticks == 0 {
		return 0
	}
	if b.spans == nil {
		b.spans = map[Ticks]Minutes{}
		first := b.axis.ceil(b.path.DataDate)
		for t := first; t < b.axis.Len(); t++ {
			if t == first || b.axis.start(t) > b.axis.endBefore(t) {
				b.openings = append(b.openings, t)
			}
		}
	}
	least, known := b.spans[ticks]
	if known {
		return least
	}
	least = ticks.Minutes() // if it fits nowhere
	for k, t := range b.openings {
		if t+ticks > b.axis.Len() {
			break
		}
		if took := Minutes(b.axis.endBefore(t+ticks) - b.axis.start(t)); k == 0 || took < least {
			least = took
		}
	}
	b.spans[ticks] = least
	return least
}

// elapsed converts a distance to minutes.
func (b *relaxation) elapsed(r distance) Minutes { return max(r.minutes, b.shortestSpan(r.ticks)) }

// roundDown rounds a sum down so far that no rounding error on the way can have made it too large.
func roundDown(sum float64) int64 {
	if sum -= 1 + math.Abs(sum)*1e-9; sum > 0 {
		return int64(sum)
	}
	return 0
}
