package schedule

import (
	"cmp"
	"math"
)

// model is a problem compiled for scheduling: checked, flat and never changed while plans are made.
type model struct {
	problem *Problem
	network *Network
	axis    *Axis
	path    *Analysis

	demands     []demand
	firstDemand []int32 // demands[firstDemand[i]:firstDemand[i+1]] belong to activity i
	byTick      []bool  // per station: its profile is in working ticks, else in minutes
	profiles    []profile

	groupOf []int32 // per activity; none if it is in no group
	members []int32 // per group, the number of its activities
	present []bool  // per group

	costs      []cost
	costly     []bool // per activity
	finishCost int64
}

// demand is a Need as the decoder looks it up: quantity units of a station for as long as hold
// says, in a state. An exclusive demand takes nothing but requires the station to be unused, which
// is when its whole capacity is free.
type demand struct {
	station, quantity, state int32
	hold                     Hold
	exclusive                bool
}

// cost is a Cost per minute and day: multiplied with minutes it is in minor units for 1440 of them.
type cost struct {
	activity       int32
	rate, lateRate int64
	due            Instant // maxInstant = none
}

func newModel(p *Problem) (*model, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	path, err := CriticalPath(p.Network, p.Axis, p.DataDate)
	if err != nil {
		return nil, err
	}
	m := &model{problem: p, network: p.Network, axis: p.Axis, path: path}
	m.compileStations()
	m.compileDemands()
	m.compileGroups()
	m.compileCosts()
	return m, nil
}

// compileStations chooses each station's unit and subtracts the reservations from its profile.
func (m *model) compileStations() {
	p := m.problem
	m.byTick = make([]bool, len(p.Stations))
	used := p.stated() // states are kept by the minute only
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			m.byTick[d.Station] = d.Hold == HoldWorking && (m.byTick[d.Station] || !used[d.Station])
			used[d.Station] = true
		}
	}
	m.profiles = make([]profile, len(p.Stations))
	extent, ticked := m.extremes(), 0
	for _, byTick := range m.byTick {
		if byTick {
			ticked++
		}
	}
	for s := range p.Stations {
		ticks := Ticks(0)
		if m.byTick[s] && extent[s] <= math.MaxInt16 &&
			m.axis.Len()*Ticks(ticked) <= profileTicksMax {
			ticks = m.axis.Len()
		}
		m.profiles[s] = newProfile(int32(p.Stations[s].Capacity), ticks) //nolint:gosec // checked
	}
	for _, r := range p.Reservations {
		from, to := m.toUnit(r.Station, InstantBefore(r.From), InstantAfter(r.To))
		m.profiles[r.Station].take(from, to, int32(r.Quantity), int32(r.State)) //nolint:gosec // checked
	}
}

// profileTicksMax bounds the ticks of all profiles together: 32 MB for each decoder.
const profileTicksMax Ticks = 1 << 24

// extremes returns for each station more than is ever free or short: the capacity and everything
// taken regardless of it.
func (m *model) extremes() []int {
	extent := make([]int, len(m.problem.Stations))
	for s := range extent {
		extent[s] = m.problem.Stations[s].Capacity
	}
	for _, r := range m.problem.Reservations {
		extent[r.Station] += r.Quantity
	}
	for i := range m.network.activities {
		if m.network.nodes[i].fixed != minInstant {
			for _, d := range m.network.activities[i].Needs {
				extent[d.Station] += d.Quantity
			}
		}
	}
	return extent
}

// toUnit converts a span of time to the unit of a station; in ticks, to those that it touches.
func (m *model) toUnit(station int, from, to Instant) (first, end int64) {
	if m.byTick[station] {
		return int64(m.axis.floor(from)), int64(m.axis.ceil(to))
	}
	return int64(from), int64(to)
}

func (m *model) compileDemands() {
	p := m.problem
	clashing := make([][]int, len(p.Stations))
	for _, c := range p.Clashes {
		clashing[c.One] = append(clashing[c.One], c.Other)
		clashing[c.Other] = append(clashing[c.Other], c.One)
	}
	m.firstDemand = make([]int32, p.Network.Len()+1)
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			//nolint:gosec // checked
			m.demands = append(m.demands,
				demand{int32(d.Station), int32(d.Quantity), int32(d.State), d.Hold, false})
			for _, other := range clashing[d.Station] {
				//nolint:gosec // checked
				m.demands = append(m.demands,
					demand{int32(other), int32(p.Stations[other].Capacity), 0, d.Hold, true})
			}
		}
		m.firstDemand[i+1] = index32(len(m.demands))
	}
}

func (m *model) demandsOf(i int32) []demand {
	return m.demands[m.firstDemand[i]:m.firstDemand[i+1]]
}

func (m *model) compileGroups() {
	p := m.problem
	m.groupOf = make([]int32, p.Network.Len())
	for i := range m.groupOf {
		m.groupOf[i] = none
	}
	m.members, m.present = make([]int32, len(p.Groups)), make([]bool, len(p.Groups))
	for g, group := range p.Groups {
		m.members[g], m.present[g] = index32(len(group.Activities)), group.Present
		for _, i := range group.Activities {
			m.groupOf[i] = index32(g)
			m.present[g] = m.present[g] || p.Network.nodes[i].fixed != minInstant ||
				p.Network.nodes[i].underWay
		}
	}
}

func (m *model) compileCosts() {
	p := m.problem
	m.costly = make([]bool, p.Network.Len())
	costs := p.FinishCost > 0
	for _, c := range p.Costs {
		k := cost{activity: index32(c.Activity), rate: c.PerDay, due: maxInstant}
		if !c.Due.IsZero() {
			k.due, k.lateRate = InstantBefore(c.Due), c.LatePerDay
		}
		m.costs = append(m.costs, k)
		m.costly[c.Activity] = m.costly[c.Activity] || c.PerDay > 0 || k.lateRate > 0
		costs = costs || k.rate > 0 || k.lateRate > 0
	}
	m.finishCost = p.FinishCost
	if !costs {
		m.finishCost = int64(Day)
	}
}

// totalCost returns the cost of given ends, in minor units for Day minutes each.
func (m *model) totalCost(end func(i int32) Instant, finish Instant) int64 {
	sum := m.finishCost * int64(finish-m.path.DataDate)
	for k := range m.costs {
		c := &m.costs[k]
		at := end(c.activity)
		sum += c.rate*int64(max(0, at-m.path.DataDate)) + c.lateRate*int64(max(0, at-c.due))
	}
	return sum
}

// perDay converts a sum of money times minutes to money, rounding a half up.
func perDay(sum int64) int64 {
	whole, rest := sum/int64(Day), sum%int64(Day)
	if rest < 0 {
		whole, rest = whole-1, rest+int64(Day)
	}
	if 2*rest >= int64(Day) {
		whole++
	}
	return whole
}

// held returns one interval, in the station's unit, that a demand occupies at the dates d, and the
// tick to ask for the next with; at begins with d.StartTick, and next is unplaced after the last.
// Only breaks in working time divide a hold, and only if others hold the same station through them.
func (m *model) held(w *demand, d *Dates, at Ticks) (from, to int64, next Ticks) {
	var first, end Instant
	switch {
	case w.hold == HoldThroughTail:
		first, end = d.Start, d.TailEnd
	case w.hold == HoldToFinish:
		first, end = d.Start, d.Finish
	case m.byTick[w.station]:
		return int64(d.StartTick), int64(d.FinishTick), unplaced
	case at >= d.FinishTick:
		return 0, 0, unplaced
	default:
		first = m.axis.start(at)
		for end = first; at < d.FinishTick && m.axis.start(at) == end; at++ {
			end = end.Add(TickMinutes)
		}
		if at == d.FinishTick {
			at = unplaced
		}
		return int64(first), int64(end), at
	}
	from, to = m.toUnit(int(w.station), first, end)
	if end == first {
		to = from
	}
	return from, to, unplaced
}

// fromUnit converts a point in a station's unit to a tick to start work from and an instant.
func (m *model) fromUnit(station int32, at int64) (Ticks, Instant) {
	if at >= int64(maxInstant) {
		return m.axis.Len(), maxInstant
	}
	if m.byTick[station] {
		return Ticks(at), m.axis.startAfter(Ticks(at))
	}
	return m.axis.ceil(Instant(at)), Instant(at)
}

// byOrder compares activities by the caller's order, then by late finish on the critical path, then
// by position.
func (m *model) byOrder(i, j int32) int {
	a, b := &m.network.activities[i], &m.network.activities[j]
	return cmp.Or(cmp.Compare(a.Order, b.Order), m.byLateFinish(i, j))
}

func (m *model) byLateFinish(i, j int32) int {
	return cmp.Or(cmp.Compare(m.path.Activities[i].Late.TailEnd, m.path.Activities[j].Late.TailEnd),
		cmp.Compare(i, j))
}

func (m *model) byLateStart(i, j int32) int {
	return cmp.Or(cmp.Compare(m.path.Activities[i].Late.Start, m.path.Activities[j].Late.Start),
		cmp.Compare(i, j))
}
