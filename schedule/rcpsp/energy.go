package rcpsp

import (
	"slices"
	"sort"
)

// energyWork bounds the time of energetic reasoning, in terms added up: a second
// or two. Small projects never come near it; large ones keep the simple bounds.
const energyWork = 1 << 28

// energy refutes ends of a plan. It knows of each activity when it may start if
// the plan is to end by a certain tick, and asks of every stretch of time
// whether the work that must fall into it fits (Baptiste, Le Pape and Nuijten
// 1999; destructive improvement of the bound after Klein and Scholl 1999; both
// from memory). Windows follow links of either sign, and a capacity that varies
// offers its sum over the stretch, so maximum lags change nothing in the
// argument.
type energy struct {
	frame    *frame
	users    [][]int32 // by resource: the activities that need it
	demand   [][]int64 // by resource, parallel to users
	offers   []offer
	low      []int32 // earliest and latest start
	high     []int32
	from, to []int32 // where stretches may begin and end
	turn     []turn
	greatest []int64 // by resource: the greatest demand
	most     []int64 // by resource: the most work of one activity
	left     int64   // of energyWork
}

func newEnergy(p *Problem, f *frame) *energy {
	n := len(f.duration)
	e := &energy{frame: f, low: make([]int32, n), high: make([]int32, n)}
	for r, c := range p.Capacities {
		var users []int32
		var demand []int64
		greatest, most := int64(0), int64(0)
		for k, i := range f.original {
			if a := &p.Activities[i]; a.Duration > 0 && a.Demand[r] > 0 {
				users, demand = append(users, narrow(k)), append(demand, int64(a.Demand[r]))
				greatest, most = max(greatest, int64(a.Demand[r])), max(most, int64(a.Demand[r]*a.Duration))
			}
		}
		e.greatest, e.most = append(e.greatest, greatest), append(e.most, most)
		e.users, e.demand = append(e.users, users), append(e.demand, demand)
		e.offers = append(e.offers, newOffer(c))
	}
	return e
}

// offer sums up a capacity.
type offer struct {
	steps  Capacity
	before []int64 // unit-ticks offered before each step
}

func newOffer(c Capacity) offer {
	before := make([]int64, len(c))
	for k := 1; k < len(c); k++ {
		before[k] = before[k-1] + int64(c[k-1].Units)*int64(c[k].From-c[k-1].From)
	}
	return offer{c, before}
}

// until is how many unit-ticks are offered before tick t ≥ 0.
func (o offer) until(t int32) int64 {
	k := sort.Search(len(o.steps), func(k int) bool { return o.steps[k].From > int(t) }) - 1
	return o.before[k] + int64(o.steps[k].Units)*int64(int(t)-o.steps[k].From)
}

// raise returns bound, raised while energetic reasoning refutes plans that end by
// it, at most past the horizon.
func (e *energy) raise(bound, horizon int32) int32 {
	e.left = energyWork
	for bound <= horizon && e.refutes(bound) {
		bound++
	}
	return bound
}

// impossible reports that no plan ends by the horizon, by which some plan of any
// feasible problem does.
func (e *energy) impossible(horizon int32) bool {
	e.left = energyWork
	return e.refutes(horizon)
}

// refutes reports that no plan ends by end. It says so only when that is proved.
func (e *energy) refutes(end int32) bool {
	e.left -= int64(len(e.low))
	for i := range e.low {
		e.low[i], e.high[i] = e.frame.head[i], end-e.frame.tail[i]
		if e.low[i] > e.high[i] {
			return true
		}
	}
	for {
		changed := false
		for r := range e.users {
			more, overload := e.tighten(r)
			if overload {
				return true
			}
			changed = changed || more
		}
		if !changed || e.left <= 0 {
			return false
		}
		if e.followLinks() {
			return true
		}
	}
}

// followLinks carries tightened windows along the links, both ways, until
// nothing moves, and reports a window that has closed.
func (e *energy) followLinks() (closed bool) {
	for changed := true; changed && e.left > 0; {
		changed = false
		e.left -= int64(len(e.frame.edges))
		for _, l := range e.frame.edges {
			if t := e.low[l.From] + l.Lag; t > e.low[l.To] {
				e.low[l.To], changed = t, true
			}
		}
		for k := len(e.frame.edges) - 1; k >= 0; k-- {
			l := e.frame.edges[k]
			if t := e.high[l.To] - l.Lag; t < e.high[l.From] {
				e.high[l.From], changed = t, true
			}
		}
		for i := range e.low {
			if e.low[i] > e.high[i] {
				return true
			}
		}
	}
	return false
}

// tighten looks at every stretch between two moments at which a user of r could
// begin or end, and narrows windows of activities that would overload it. The
// work that must fall into a stretch is summed up as its end moves; windows
// narrowed meanwhile only make it more, so nothing wrong is concluded, and
// another round follows.
func (e *energy) tighten(r int) (changed, overload bool) {
	e.moments(r)
	users := int64(len(e.users[r]))
	if terms := int64(len(e.from)) * (int64(len(e.to))/2 + users); terms > e.left {
		e.left = 0 // begun, it would not be ended
		return false, false
	}
	later := 0
	for _, a := range e.from {
		for later < len(e.to) && e.to[later] <= a {
			later++
		}
		e.left -= users + int64(len(e.to)-later)
		e.turns(r, a)
		before, must, slope, at, next := e.offers[r].until(a), int64(0), int64(0), a, 0
		for _, b := range e.to[later:] {
			for ; next < len(e.turn) && e.turn[next].at <= b; next++ {
				must += slope * int64(e.turn[next].at-at)
				slope, at = slope+e.turn[next].by, e.turn[next].at
			}
			must += slope * int64(b-at)
			at = b
			slack := e.offers[r].until(b) - before - must
			if slack < 0 {
				return false, true
			}
			if slack >= e.greatest[r]*int64(b-a) || slack >= e.most[r] {
				continue // nobody could bring more than that
			}
			e.left -= users
			more, closed := e.push(r, a, b, slack)
			if closed {
				return false, true
			}
			changed = changed || more
		}
	}
	return changed, false
}

// moments collects where stretches may begin and end.
func (e *energy) moments(r int) {
	e.from, e.to = e.from[:0], e.to[:0]
	for _, i := range e.users[r] {
		d := e.frame.duration[i]
		e.from = append(e.from, e.low[i], e.high[i])
		e.to = append(e.to, e.low[i]+d, e.high[i]+d)
	}
	e.left -= int64(len(e.from) + len(e.to))
	slices.Sort(e.from)
	slices.Sort(e.to)
	e.from, e.to = slices.Compact(e.from), slices.Compact(e.to)
}

// turn is a moment from which on what must fall into a stretch grows faster or
// slower with the stretch's end.
type turn struct {
	at int32
	by int64
}

// turns collects them for stretches that begin at a: an activity must bring
// more from its latest start on, until nothing is left of it that could not have
// run before a.
func (e *energy) turns(r int, a int32) {
	e.turn = e.turn[:0]
	for k, i := range e.users[r] {
		d, need := e.frame.duration[i], e.demand[r][k]
		if most := min(d, e.low[i]+d-a); most > 0 {
			rise := max(a, e.high[i])
			e.turn = append(e.turn, turn{rise, need}, turn{rise + most, -need})
		}
	}
	slices.SortFunc(e.turn, func(x, y turn) int { return int(x.at - y.at) })
}

// least is how many ticks of i fall between a and b wherever i starts.
func (e *energy) least(i, a, b int32) int64 {
	d := e.frame.duration[i]
	return int64(max(0, min(b-a, d, e.low[i]+d-a, b-e.high[i])))
}

// push moves windows so that no activity brings more into the stretch than the
// others leave. What i brings first rises, then falls with its start: too much
// at the earliest start is too much until it falls.
func (e *energy) push(r int, a, b int32, slack int64) (changed, closed bool) {
	for k, i := range e.users[r] {
		d, need := e.frame.duration[i], e.demand[r][k]
		brings := func(start int32) int64 { return int64(max(0, min(b-a, d, start+d-a, b-start))) }
		room := (slack + need*e.least(i, a, b)) / need
		if brings(e.low[i]) > room {
			e.low[i], changed = b-narrow(int(room)), true
		} else if brings(e.high[i]) > room {
			e.high[i], changed = a+narrow(int(room))-d, true
		}
		if e.low[i] > e.high[i] {
			return changed, true
		}
		if changed {
			// The work that must fall into the stretch has grown.
			return true, false
		}
	}
	return false, false
}
