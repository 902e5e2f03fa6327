package schedule

import (
	"cmp"
	"math"
)

// model is a problem made ready for placing: flat, checked, and never changed while plans are made.
type model struct {
	problem *Problem
	network *Network
	axis    *Axis
	path    *Analysis

	wants   []want
	wantsAt []int32 // wants[wantsAt[i]:wantsAt[i+1]] belong to activity i
	byTick  []bool  // per station, the unit of its profile: working ticks instead of minutes
	free    []profile

	groupOf []int32 // per activity; none where it is in no group
	members []int32 // per group, how many activities it has
	present []bool  // per group

	costs      []cost
	costly     []bool // per activity
	finishCost int64
}

// want is a need as it is looked up: so many units of a station for as long as hold says. A probe takes nothing: the station must be
// unused, which is when its whole capacity is free.
type want struct {
	station, quantity int32
	hold              Hold
	probe             bool
}

// cost is a Cost per minute and day: multiplied with minutes it is in minor units for 1440 of them.
type cost struct {
	activity   int32
	rate, late int64
	due        Instant // maxInstant = none
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
	m.compileWants()
	m.compileGroups()
	m.compileCosts()
	return m, nil
}

// compileStations chooses each station's unit and takes the reservations off.
func (m *model) compileStations() {
	p := m.problem
	m.byTick = make([]bool, len(p.Stations))
	used := make([]bool, len(p.Stations))
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			m.byTick[d.Station] = d.Hold == HoldWorking && (m.byTick[d.Station] || !used[d.Station])
			used[d.Station] = true
		}
	}
	m.free = make([]profile, len(p.Stations))
	extent, ticked := m.extent(), 0
	for _, byTick := range m.byTick {
		if byTick {
			ticked++
		}
	}
	for s := range p.Stations {
		ticks := Ticks(0)
		if m.byTick[s] && extent[s] <= math.MaxInt16 && m.axis.Len()*Ticks(ticked) <= mostTicks {
			ticks = m.axis.Len()
		}
		m.free[s] = newProfile(int32(p.Stations[s].Capacity), ticks) //nolint:gosec // checked
	}
	for _, r := range p.Reservations {
		from, to := m.inUnit(r.Station, InstantBefore(r.From), InstantAfter(r.To))
		m.free[r.Station].take(from, to, int32(r.Quantity)) //nolint:gosec // checked
	}
}

// mostTicks bounds what is kept by the tick of all stations together: 32 MB for each place to work in.
const mostTicks Ticks = 1 << 24

// extent is for each station more than is ever free or lacking of it: the capacity, and all that is taken whatever there is.
func (m *model) extent() []int {
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

// inUnit is a span of time in the unit of a station, in ticks those that it touches.
func (m *model) inUnit(station int, from, to Instant) (first, end int64) {
	if m.byTick[station] {
		return int64(m.axis.floor(from)), int64(m.axis.ceil(to))
	}
	return int64(from), int64(to)
}

func (m *model) compileWants() {
	p := m.problem
	clashing := make([][]int, len(p.Stations))
	for _, c := range p.Clashes {
		clashing[c.One] = append(clashing[c.One], c.Other)
		clashing[c.Other] = append(clashing[c.Other], c.One)
	}
	m.wantsAt = make([]int32, p.Network.Len()+1)
	for i := range p.Network.activities {
		for _, d := range p.Network.activities[i].Needs {
			m.wants = append(m.wants, want{int32(d.Station), int32(d.Quantity), d.Hold, false}) //nolint:gosec // checked
			for _, other := range clashing[d.Station] {
				m.wants = append(m.wants, want{int32(other), int32(p.Stations[other].Capacity), d.Hold, true}) //nolint:gosec // checked
			}
		}
		m.wantsAt[i+1] = index32(len(m.wants))
	}
}

func (m *model) of(i int32) []want { return m.wants[m.wantsAt[i]:m.wantsAt[i+1]] }

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
			m.present[g] = m.present[g] || p.Network.nodes[i].fixed != minInstant || p.Network.nodes[i].underWay
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
			k.due, k.late = InstantBefore(c.Due), c.LatePerDay
		}
		m.costs = append(m.costs, k)
		m.costly[c.Activity] = m.costly[c.Activity] || c.PerDay > 0 || k.late > 0
		costs = costs || k.rate > 0 || k.late > 0
	}
	m.finishCost = p.FinishCost
	if !costs {
		m.finishCost = int64(Day)
	}
}

// worth is the cost of ends, in minor units for Day minutes each.
func (m *model) worth(end func(i int32) Instant, finish Instant) int64 {
	sum := m.finishCost * int64(finish-m.path.DataDate)
	for k := range m.costs {
		c := &m.costs[k]
		at := end(c.activity)
		sum += c.rate*int64(max(0, at-m.path.DataDate)) + c.late*int64(max(0, at-c.due))
	}
	return sum
}

// perDay turns a sum of money times minutes into money, a half rounded up.
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

// stretch is one span, in the station's unit, of what a want holds at the dates d, and where to ask for the next; at begins with
// d.StartTick, and there is no more when next is unplaced. Only people's breaks divide a hold, and only where others hold the same station
// through them.
func (m *model) stretch(w *want, d *Dates, at Ticks) (from, to int64, next Ticks) {
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
	from, to = m.inUnit(int(w.station), first, end)
	if end == first {
		to = from
	}
	return from, to, unplaced
}

// instantOf is a point in a station's unit as a tick to start work from and an instant.
func (m *model) instantOf(station int32, at int64) (Ticks, Instant) {
	if at >= int64(maxInstant) {
		return m.axis.Len(), maxInstant
	}
	if m.byTick[station] {
		return Ticks(at), m.axis.startAfter(Ticks(at))
	}
	return m.axis.ceil(Instant(at)), Instant(at)
}

// firstRank is the order in which activities are placed where nothing better is known: the caller's order, then the earliest late finish
// of the critical path, then the position.
func (m *model) firstRank(i, j int32) int {
	a, b := &m.network.activities[i], &m.network.activities[j]
	return cmp.Or(cmp.Compare(a.Order, b.Order), m.byLateFinish(i, j))
}

func (m *model) byLateFinish(i, j int32) int {
	return cmp.Or(cmp.Compare(m.path.Activities[i].Late.TailEnd, m.path.Activities[j].Late.TailEnd), cmp.Compare(i, j))
}

func (m *model) byLateStart(i, j int32) int {
	return cmp.Or(cmp.Compare(m.path.Activities[i].Late.Start, m.path.Activities[j].Late.Start), cmp.Compare(i, j))
}
