package rcpsp

import (
	"slices"
	"sort"
)

// energyBudget bounds the time of energetic reasoning, in terms added up: a second or two. Small
// projects never reach it; large ones keep the simple bounds.
const energyBudget = 1 << 28

// energy refutes ends of a plan. Given when each activity may start if the plan is to end by a
// certain tick, it checks for every interval whether the work that must fall into it fits
// (Baptiste, Le Pape and Nuijten 1999; destructive improvement of the bound after Klein and Scholl
// 1999; both from memory). Windows follow links of either sign, and a varying capacity supplies its
// sum over the interval, so maximum lags don't change the argument.
type energy struct {
	frame     *frame
	users     [][]int32 // by resource: the activities that need it
	demand    [][]int64 // by resource, parallel to users
	supply    []supply
	low       []int32 // earliest and latest start
	high      []int32
	from, to  []int32 // where intervals may begin and end
	breaks    []breakpoint
	demandMax []int64 // by resource: the greatest demand
	energyMax []int64 // by resource: the most work of one activity
	budget    int64   // left of energyBudget
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
				greatest, most = max(greatest, int64(a.Demand[r])),
					max(most, int64(a.Demand[r]*a.Duration))
			}
		}
		e.demandMax, e.energyMax = append(e.demandMax, greatest), append(e.energyMax, most)
		e.users, e.demand = append(e.users, users), append(e.demand, demand)
		e.supply = append(e.supply, newSupply(c))
	}
	return e
}

// supply is a capacity with its running total.
type supply struct {
	steps  Capacity
	before []int64 // unit-ticks offered before each step
}

func newSupply(c Capacity) supply {
	before := make([]int64, len(c))
	for k := 1; k < len(c); k++ {
		before[k] = before[k-1] + int64(c[k-1].Units)*int64(c[k].From-c[k-1].From)
	}
	return supply{c, before}
}

// until returns how many unit-ticks are offered before tick t ≥ 0.
func (o supply) until(t int32) int64 {
	k := sort.Search(len(o.steps), func(k int) bool { return o.steps[k].From > int(t) }) - 1
	return o.before[k] + int64(o.steps[k].Units)*int64(int(t)-o.steps[k].From)
}

// raise returns the bound, raised past every end that energetic reasoning refutes, at most past the
// horizon.
func (e *energy) raise(bound, horizon int32) int32 {
	e.budget = energyBudget
	for bound <= horizon && e.refutes(bound) {
		bound++
	}
	return bound
}

// impossible reports that no plan ends by the horizon, by which some plan of every feasible problem
// does.
func (e *energy) impossible(horizon int32) bool {
	e.budget = energyBudget
	return e.refutes(horizon)
}

// refutes reports that no plan ends by end. It does so only if that is proved.
func (e *energy) refutes(end int32) bool {
	e.budget -= int64(len(e.low))
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
		if !changed || e.budget <= 0 {
			return false
		}
		if e.followLinks() {
			return true
		}
	}
}

// followLinks propagates tightened windows along the links, both ways, to a fixed point, and
// reports a window that has become empty.
func (e *energy) followLinks() (closed bool) {
	for changed := true; changed && e.budget > 0; {
		changed = false
		e.budget -= int64(len(e.frame.edges))
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

// tighten checks every interval between two endpoints of r's users and narrows the windows of
// activities that would overload it. The work that must fall into an interval is summed up as its
// end moves; windows narrowed meanwhile only increase it, so nothing wrong is concluded, and
// another round follows.
func (e *energy) tighten(r int) (changed, overload bool) {
	e.endpoints(r)
	users := int64(len(e.users[r]))
	if terms := int64(len(e.from)) * (int64(len(e.to))/2 + users); terms > e.budget {
		e.budget = 0 // it could not finish
		return false, false
	}
	later := 0
	for _, a := range e.from {
		for later < len(e.to) && e.to[later] <= a {
			later++
		}
		e.budget -= users + int64(len(e.to)-later)
		e.breakpoints(r, a)
		before, must, slope, at, next := e.supply[r].until(a), int64(0), int64(0), a, 0
		for _, b := range e.to[later:] {
			for ; next < len(e.breaks) && e.breaks[next].at <= b; next++ {
				must += slope * int64(e.breaks[next].at-at)
				slope, at = slope+e.breaks[next].by, e.breaks[next].at
			}
			must += slope * int64(b-at)
			at = b
			slack := e.supply[r].until(b) - before - must
			if slack < 0 {
				return false, true
			}
			if slack >= e.demandMax[r]*int64(b-a) || slack >= e.energyMax[r] {
				continue // no activity could add more than that
			}
			e.budget -= users
			more, closed := e.adjust(r, a, b, slack)
			if closed {
				return false, true
			}
			changed = changed || more
		}
	}
	return changed, false
}

// endpoints collects where intervals may begin and end.
func (e *energy) endpoints(r int) {
	e.from, e.to = e.from[:0], e.to[:0]
	for _, i := range e.users[r] {
		d := e.frame.duration[i]
		e.from = append(e.from, e.low[i], e.high[i])
		e.to = append(e.to, e.low[i]+d, e.high[i]+d)
	}
	e.budget -= int64(len(e.from) + len(e.to))
	slices.Sort(e.from)
	slices.Sort(e.to)
	e.from, e.to = slices.Compact(e.from), slices.Compact(e.to)
}

// breakpoint is a tick from which the work that must fall into an interval grows faster or slower
// with the interval's end.
type breakpoint struct {
	at int32
	by int64
}

// breakpoints collects them for intervals that begin at a: an activity must contribute from its
// latest start on, until nothing is left of it that could not have run before a.
func (e *energy) breakpoints(r int, a int32) {
	e.breaks = e.breaks[:0]
	for k, i := range e.users[r] {
		d, need := e.frame.duration[i], e.demand[r][k]
		if most := min(d, e.low[i]+d-a); most > 0 {
			rise := max(a, e.high[i])
			e.breaks = append(e.breaks, breakpoint{rise, need}, breakpoint{rise + most, -need})
		}
	}
	slices.SortFunc(e.breaks, func(x, y breakpoint) int { return int(x.at - y.at) })
}

// minimumTicks returns how many ticks of i fall between a and b wherever i starts.
func (e *energy) minimumTicks(i, a, b int32) int64 {
	d := e.frame.duration[i]
	return int64(max(0, min(b-a, d, e.low[i]+d-a, b-e.high[i])))
}

// adjust narrows windows so that no activity contributes more to the interval than the others
// leave. The contribution of i first rises and then falls with its start: too much at the earliest
// start stays too much until it falls.
func (e *energy) adjust(r int, a, b int32, slack int64) (changed, closed bool) {
	for k, i := range e.users[r] {
		d, need := e.frame.duration[i], e.demand[r][k]
		brings := func(start int32) int64 { return int64(max(0, min(b-a, d, start+d-a, b-start))) }
		room := (slack + need*e.minimumTicks(i, a, b)) / need
		if brings(e.low[i]) > room {
			e.low[i], changed = b-narrow(int(room)), true
		} else if brings(e.high[i]) > room {
			e.high[i], changed = a+narrow(int(room))-d, true
		}
		if e.low[i] > e.high[i] {
			return changed, true
		}
		if changed {
			// The work that must fall into the interval has grown.
			return true, false
		}
	}
	return false, false
}
