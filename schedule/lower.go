package schedule

import (
	"math"
	"slices"
)

// lower is what every plan costs at least, in money times minutes.
//
//   - No end is earlier than on the critical path, nor than one station could have done all the work that the end waits for, followed by what
//     must follow it (aloneEnds).
//   - The last of all work on a station can't end before capacity has sufficed for all of it (lowerFinish).
//   - Ends that share a station can't all be early (lowerShared, which gets better with the rounds spent on it).
func (m *model) lower(rounds int) int64 {
	b := &bounder{model: m, users: make([][]user, len(m.free))}
	finish := m.path.Finish
	for i := range m.network.nodes {
		if nd := &m.network.nodes[i]; nd.work > 0 && nd.fixed == minInstant {
			for _, w := range m.of(index32(i)) {
				if !w.probe {
					b.users[w.station] = append(b.users[w.station], user{index32(i), int64(w.quantity) * int64(nd.work)})
				}
			}
		}
		finish = max(finish, m.path.Activities[i].Early.TailEnd)
	}
	for s := range m.free {
		finish = max(finish, b.lowerFinish(s))
	}
	b.own()
	b.aloneEnds()
	byDay := int64(0)
	for k := range m.costs {
		byDay += m.costs[k].at(m.path.DataDate, b.ends[k])
	}
	for s := range m.free {
		if rounds == 0 {
			break
		}
		byDay = max(byDay, b.lowerShared(s, rounds))
	}
	return m.finishCost*int64(finish-m.path.DataDate) + byDay
}

// at is what an end at an instant costs, in money times minutes.
func (c *cost) at(from, end Instant) int64 {
	return c.rate*int64(max(0, end-from)) + c.late*int64(max(0, end-c.due))
}

// bounder finds what no plan can undercut.
type bounder struct {
	*model
	users  [][]user // per station, the free work on it
	owners []int32  // per activity, the cost whose end waits for it; none where no end does, the first where several do
	after  []rest   // per activity with an owner
	ends   []Instant
	opens  []Ticks // the ticks at which the axis opens
	spans  map[Ticks]Minutes
}

// user is an activity and its work on a station in ticks times units.
type user struct {
	activity int32
	work     int64
}

// rest is what lies at least between an activity's attended finish and the end that waits for it: in minutes, and in working ticks.
type rest struct {
	minutes Minutes
	ticks   Ticks
}

// lowerFinish is when a station can have done all its work.
func (b *bounder) lowerFinish(s int) Instant {
	work, first, tail := int64(0), b.axis.Len(), maxTicks.Minutes()
	for _, u := range b.users[s] {
		work += u.work
		first = min(first, b.path.Activities[u.activity].Early.StartTick)
		tail = min(tail, b.network.nodes[u.activity].tail)
	}
	return b.done(s, first, work, rest{minutes: tail})
}

// done is the earliest end of work on a station that begins with a tick, with what must follow it.
func (b *bounder) done(s int, first Ticks, work int64, then rest) Instant {
	capacity := int64(b.problem.Stations[s].Capacity)
	end := first + Ticks((work+capacity-1)/capacity)
	if work == 0 || end > b.axis.Len()-then.ticks {
		return minInstant // no plan reaches there; a bound needn't
	}
	return max(b.axis.endBefore(end).Add(then.minutes), b.axis.endBefore(end+then.ticks))
}

// own finds what each costly end waits for, and what lies between.
func (b *bounder) own() {
	b.owners = slices.Repeat([]int32{none}, b.network.Len())
	b.after = make([]rest, b.network.Len())
	var open []int32
	for k := range b.costs {
		if b.costs[k].rate == 0 && b.costs[k].late == 0 {
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
			for _, e := range b.network.into(i) {
				if e.holds() {
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
			b.after[i] = rest{minutes: b.network.nodes[i].tail}
		}
		for _, at := range b.network.from(i) {
			if e := &b.network.edges[at]; e.holds() && b.owners[e.to] == k {
				b.after[i] = b.after[i].atLeast(b.before(e))
			}
		}
	}
}

// holds reports whether an edge keeps what it leads to after the attended finish of what it comes from.
func (e *edge) holds() bool {
	return !e.atMost && e.fromPoint != pointStart && e.point != pointTail && e.lag >= 0
}

// before is what lies at least between the finish that an edge comes from and the end that waits for it.
func (b *bounder) before(e *edge) rest {
	r := b.after[e.to]
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

func (r rest) atLeast(other rest) rest {
	return rest{max(r.minutes, other.minutes), max(r.ticks, other.ticks)}
}

// aloneEnds is when each costly end can be at the earliest, were there no other: on the critical path, and by what it waits for on any one
// station.
func (b *bounder) aloneEnds() {
	b.ends = make([]Instant, len(b.costs))
	for k := range b.costs {
		b.ends[k] = b.path.Activities[b.costs[k].activity].Early.TailEnd
	}
	type load struct {
		first Ticks
		work  int64
		then  rest
	}
	loads := make([]load, len(b.costs))
	for s := range b.users {
		for k := range loads {
			loads[k] = load{first: b.axis.Len(), then: rest{maxTicks.Minutes(), maxTicks}}
		}
		for _, u := range b.users[s] {
			if k := b.owners[u.activity]; k != none {
				l, then := &loads[k], b.after[u.activity]
				l.first = min(l.first, b.path.Activities[u.activity].Early.StartTick)
				l.work += u.work
				l.then = rest{min(l.then.minutes, then.minutes), min(l.then.ticks, then.ticks)}
			}
		}
		for k, l := range loads {
			if l.work > 0 {
				b.ends[k] = max(b.ends[k], b.done(s, l.first, l.work, l.then))
			}
		}
	}
}

// span is the least elapsed time that so many ticks take, wherever they lie from the data date on. The least is had by work that begins when
// the axis opens.
func (b *bounder) span(ticks Ticks) Minutes {
	if ticks == 0 {
		return 0
	}
	if b.spans == nil {
		b.spans = map[Ticks]Minutes{}
		first := b.axis.ceil(b.path.DataDate)
		for t := first; t < b.axis.Len(); t++ {
			if t == first || b.axis.start(t) > b.axis.endBefore(t) {
				b.opens = append(b.opens, t)
			}
		}
	}
	least, known := b.spans[ticks]
	if known {
		return least
	}
	least = ticks.Minutes() // where it fits nowhere
	for k, t := range b.opens {
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

// elapsed is what a rest comes to in minutes.
func (b *bounder) elapsed(r rest) Minutes { return max(r.minutes, b.span(r.ticks)) }

// sure is a sum rounded so far down that no rounding on the way can have made it too much.
func sure(sum float64) int64 {
	if sum -= 1 + math.Abs(sum)*1e-9; sum > 0 {
		return int64(sum)
	}
	return 0
}
