package rcpsp

import "slices"

// energyWork bounds the time of energetic reasoning, in terms added up: under a
// second. Small projects never come near it; large ones keep the simple bounds.
const energyWork = 1 << 28

// energy refutes ends of a plan. It knows of each activity when it may start if
// the plan is to end by a certain tick, and asks of every stretch of time
// whether the work that must fall into it fits (Baptiste, Le Pape and Nuijten
// 1999; destructive improvement of the bound after Klein and Scholl 1999; both
// from memory).
type energy struct {
	net      *network
	users    [][]int32 // by resource: the activities that need it
	demand   [][]int64 // by resource, parallel to users
	capacity []int64
	low      []int32 // earliest and latest start
	high     []int32
	from, to []int32 // where stretches may begin and end
	left     int64   // of energyWork
}

// raiseBound raises the lower bound while energetic reasoning refutes plans of
// that length. Only networks with lists have the heads and tails for it.
func (net *network) raiseBound(p *Problem) {
	e := &energy{net: net, left: energyWork, low: make([]int32, net.n), high: make([]int32, net.n)}
	for r, c := range p.Capacities {
		var users []int32
		var demand []int64
		for k, i := range net.original {
			if a := &p.Activities[i]; a.Duration > 0 && a.Demand[r] > 0 {
				users, demand = append(users, narrow(k)), append(demand, int64(a.Demand[r]))
			}
		}
		e.users, e.demand = append(e.users, users), append(e.demand, demand)
		e.capacity = append(e.capacity, int64(c[0].Units))
	}
	for e.refutes(net.bound) {
		net.bound++
	}
}

// refutes reports that no plan ends by end. It says so only when that is proved.
func (e *energy) refutes(end int32) bool {
	s := &e.net.sides[0]
	for i := range e.net.n {
		e.low[i], e.high[i] = s.head[i], end-s.tail[i]
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

// followLinks carries tightened windows along the links, both ways, and reports
// a window that has closed.
func (e *energy) followLinks() (closed bool) {
	s := &e.net.sides[0]
	for _, i := range s.topo {
		for _, in := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			e.low[i] = max(e.low[i], e.low[in.from]+in.lag)
		}
		closed = closed || e.low[i] > e.high[i]
	}
	for k := len(s.topo) - 1; k >= 0; k-- {
		i := s.topo[k]
		for _, in := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			e.high[in.from] = min(e.high[in.from], e.high[i]-in.lag)
		}
		closed = closed || e.low[i] > e.high[i]
	}
	return closed
}

// tighten looks at every stretch between two moments at which a user of r could
// begin or end, and narrows windows of activities that would overload it.
func (e *energy) tighten(r int) (changed, overload bool) {
	e.from, e.to = e.from[:0], e.to[:0]
	for _, i := range e.users[r] {
		d := e.net.duration[i]
		e.from = append(e.from, e.low[i], e.high[i])
		e.to = append(e.to, e.low[i]+d, e.high[i]+d)
	}
	slices.Sort(e.from)
	slices.Sort(e.to)
	e.from, e.to = slices.Compact(e.from), slices.Compact(e.to)
	for _, a := range e.from {
		for _, b := range e.to {
			if b <= a {
				continue
			}
			if e.left -= int64(len(e.users[r])); e.left <= 0 {
				return false, false
			}
			slack := e.capacity[r] * int64(b-a)
			for k, i := range e.users[r] {
				slack -= e.demand[r][k] * e.least(i, a, b)
			}
			if slack < 0 {
				return false, true
			}
			more, closed := e.push(r, a, b, slack)
			if closed {
				return false, true
			}
			changed = changed || more
		}
	}
	return changed, false
}

// least is how many ticks of i fall between a and b wherever i starts.
func (e *energy) least(i, a, b int32) int64 {
	d := e.net.duration[i]
	return int64(max(0, min(b-a, d, e.low[i]+d-a, b-e.high[i])))
}

// push moves windows so that no activity brings more into the stretch than the
// others leave. What i brings first rises, then falls with its start: too much
// at the earliest start is too much until it falls.
func (e *energy) push(r int, a, b int32, slack int64) (changed, closed bool) {
	for k, i := range e.users[r] {
		d, need := e.net.duration[i], e.demand[r][k]
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
