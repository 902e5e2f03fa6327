package schedule

import "slices"

// lower is what every plan costs at least, in money times minutes. No end is earlier than on the critical path; and all work on a station
// takes the working time that it takes:
//
//   - the last of it can't end before capacity has sufficed for all of it;
//   - the ends that cost something by the day are at least those of one machine, as fast as the whole station, that does the work in the
//     order that is best for it: the most costly per hour of work first (Smith 1956; from memory), on a calendar flattened to a straight
//     line that is nowhere later than the real one.
func (m *model) lower() int64 {
	finish := m.path.Finish
	for s := range m.free {
		finish = max(finish, m.lowerFinish(s))
	}
	for i := range m.path.Activities {
		finish = max(finish, m.path.Activities[i].Early.TailEnd)
	}
	byPath, late := int64(0), int64(0)
	for k := range m.costs {
		c := &m.costs[k]
		end := m.path.Activities[c.activity].Early.TailEnd
		byPath += c.rate * int64(max(0, end-m.path.DataDate))
		late += c.late * int64(max(0, end-c.due))
	}
	byDay := byPath
	if owners := m.owners(); owners != nil {
		for s := range m.free {
			byDay = max(byDay, m.lowerByDay(s, owners))
		}
	}
	return m.finishCost*int64(finish-m.path.DataDate) + byDay + late
}

// lowerFinish is when a station can have done all its work.
func (m *model) lowerFinish(s int) Instant {
	work, first, tail := int64(0), m.axis.Len(), maxTicks.Minutes()
	for i := range m.network.nodes {
		if q := m.quantity(int32(i), s); q > 0 && m.network.nodes[i].work > 0 && m.network.nodes[i].fixed == minInstant { //nolint:gosec // small
			work += q * int64(m.network.nodes[i].work)
			first = min(first, m.path.Activities[i].Early.StartTick)
			tail = min(tail, m.network.nodes[i].tail)
		}
	}
	if work == 0 {
		return minInstant
	}
	capacity := int64(m.problem.Stations[s].Capacity)
	end := first + Ticks((work+capacity-1)/capacity)
	if end > m.axis.Len() {
		return minInstant // no plan reaches there; a bound needn't
	}
	return m.axis.endBefore(end).Add(tail)
}

// quantity is how much of a station activity i takes.
func (m *model) quantity(i int32, s int) int64 {
	for _, w := range m.of(i) {
		if int(w.station) == s && !w.probe {
			return int64(w.quantity)
		}
	}
	return 0
}

// owners says for each activity at which cost's end it must have been done; none for one that no cost waits for, and the first where several
// do. It is nil where nothing costs by the day.
func (m *model) owners() []int32 {
	if !slices.ContainsFunc(m.costs, func(c cost) bool { return c.rate > 0 }) {
		return nil
	}
	owners := slices.Repeat([]int32{none}, m.network.Len())
	var open []int32
	for k := range m.costs {
		if m.costs[k].rate == 0 {
			continue
		}
		open = append(open[:0], m.costs[k].activity)
		for len(open) > 0 {
			i := open[len(open)-1]
			open = open[:len(open)-1]
			if owners[i] != none || m.network.nodes[i].fixed != minInstant {
				continue
			}
			owners[i] = index32(k)
			for _, e := range m.network.into(i) {
				if !e.atMost && e.fromPoint != pointStart && e.lag >= 0 {
					open = append(open, e.from)
				}
			}
		}
	}
	return owners
}

// lowerByDay is what the ends cost by the day at least, for the work on one station.
func (m *model) lowerByDay(s int, owners []int32) int64 {
	type job struct{ rate, work int64 }
	jobs := make([]job, len(m.costs))
	total := int64(0)
	for i, k := range owners {
		if k >= 0 {
			work := m.quantity(int32(i), s) * int64(m.network.nodes[i].work) //nolint:gosec // small
			jobs[k].work += work
			total += work
		}
	}
	if total == 0 {
		return 0
	}
	for k := range jobs {
		jobs[k].rate = m.costs[k].rate
	}
	jobs = slices.DeleteFunc(jobs, func(j job) bool { return j.work == 0 }) // they can end at once, and the order below has no place for them
	slices.SortStableFunc(jobs, func(a, b job) int {
		switch x, y := a.rate*b.work, b.rate*a.work; { // at most 2^36 · 2^27
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	capacity := int64(m.problem.Stations[s].Capacity)
	line, ok := m.flatten((total + capacity - 1) / capacity)
	if !ok {
		return 0
	}
	sum, done := int64(0), int64(0)
	for _, j := range jobs {
		done += j.work
		sum += j.rate * max(0, line.minutes(done, capacity))
	}
	return sum
}

// line is minutes of elapsed time from the data date over ticks of work: minutes per ticks, less a distance.
type line struct{ minutesEach, ticksEach, below int64 }

// minutes are those at which done ticks can have been worked by so many at once, rounded down.
func (l *line) minutes(done, capacity int64) int64 {
	return done*l.minutesEach/(capacity*l.ticksEach) - l.below
}

// flatten is a straight line that is nowhere later than the calendar, for so many ticks from the data date on.
func (m *model) flatten(ticks int64) (line, bool) {
	first := m.axis.ceil(m.path.DataDate)
	if first+Ticks(ticks) > m.axis.Len() {
		return line{}, false
	}
	after := func(t int64) int64 { return int64(m.axis.endBefore(first+Ticks(t)) - m.path.DataDate) }
	l := line{minutesEach: after(ticks), ticksEach: ticks}
	for t := int64(1); t <= ticks; t++ {
		// The work of part of a tick may end when that tick begins.
		l.below = max(l.below, (t*l.minutesEach+ticks-1)/ticks-after(t)+int64(TickMinutes))
	}
	return l, true
}
