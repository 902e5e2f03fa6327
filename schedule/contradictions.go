package schedule

import "slices"

// What no calendar can satisfy shows on two relaxations of the network, in which every distance is
// a constant that holds on any calendar. In ticks, closed hours vanish: an elapsed lag may pass
// within closed hours, so it counts 0, and an elapsed lead is at most its length. In minutes, w
// ticks take at least 15·w; a working lead may reach back over any closure, so it is left out. A
// cycle of positive length in either can't be satisfied. The converse doesn't hold: a network that
// passes may still not fit a given calendar.

// arc requires event to to happen at least length after event from.
type arc struct {
	from, to int32
	length   int64
}

// checkLags returns a *MaxLagError if a maximum lag is smaller than other links force.
func (n *Network) checkLags() error {
	local := make([]int32, n.Len()) // position in the component
	for _, r := range n.components {
		if !r.cyclic {
			continue
		}
		members := n.order[r.from:r.to]
		for at, i := range members {
			local[i] = index32(at)
		}
		var ticks, minutes []arc
		for at, i := range members {
			start, finish := index32(2*at), index32(2*at+1)
			minutes = append(minutes, arc{start, finish, int64(n.nodes[i].work.Minutes())})
			if n.nodes[i].work == 0 {
				minutes = append(minutes, arc{finish, start, 0})
			}
			if n.nodes[i].fixed != minInstant {
				continue // a given fact, whatever its links say
			}
			for _, e := range n.incoming(i) {
				if from := local[e.from]; int(from) < len(members) && members[from] == e.from {
					ticks = append(ticks, arc{from, index32(at), n.tickLength(&e)})
					if length, ok := n.minuteLength(&e); ok {
						minutes = append(minutes,
							arc{2*from + e.fromPoint.event(), start + e.point.event(), length})
					}
				}
			}
		}
		if walk := positiveCycle(len(members), ticks); walk != nil {
			return &MaxLagError{n.cycleNames(members, walk, 1)}
		}
		if walk := positiveCycle(2*len(members), minutes); walk != nil {
			return &MaxLagError{n.cycleNames(members, walk, 2)}
		}
	}
	return nil
}

// event returns 0 for the start of an activity and 1 for its finish, which the tail follows at a
// fixed distance.
func (p point) event() int32 {
	if p == pointStart {
		return 0
	}
	return 1
}

// tickLength returns the least number of working ticks from start to start that e enforces on any
// calendar.
func (n *Network) tickLength(e *edge) int64 {
	length := e.lag
	if !e.working {
		length = min(0, -ticksIn(-e.lag))
	}
	if e.fromPoint != pointStart {
		length += int64(n.nodes[e.from].work)
	}
	if e.point != pointStart {
		length -= int64(n.nodes[e.to].work)
	}
	return length
}

// ticksIn returns the greatest number of ticks that can start within so many minutes.
func ticksIn(minutes int64) int64 {
	return (max(0, minutes) + int64(TickMinutes) - 1) / int64(TickMinutes)
}

// minuteLength returns the least number of minutes from event to event that e enforces on any
// calendar; false if there is no least.
func (n *Network) minuteLength(e *edge) (int64, bool) {
	length := e.lag
	if e.working {
		if e.lag <= 0 {
			return 0, false
		}
		length *= int64(TickMinutes)
	}
	if e.fromPoint == pointTail {
		length += int64(n.nodes[e.from].tail)
	}
	return length, true
}

// positiveCycle finds a cycle of arcs whose lengths add up to more than 0 and returns its events,
// the first repeated at the end; nil if there is none (Bellman 1958 and Ford 1956, on longest
// distances).
func positiveCycle(events int, arcs []arc) []int32 {
	distance := make([]int64, events)
	via := slices.Repeat([]int32{-1}, events)
	raised := int32(-1)
	for range events + 1 {
		raised = -1
		for k := range arcs {
			a := &arcs[k]
			if d := distance[a.from] + a.length; d > distance[a.to] {
				distance[a.to], via[a.to], raised = d, a.from, a.to
			}
		}
		if raised < 0 {
			return nil
		}
	}
	at := raised
	for range events { // walk back until certainly on the cycle
		at = via[at]
	}
	walk := []int32{at}
	for next := via[at]; next != at; next = via[next] {
		walk = append(walk, next)
	}
	walk = append(walk, at)
	slices.Reverse(walk)
	return walk
}

// cycleNames returns the names of the activities on a walk of events, of which each member has
// eventsPerMember.
func (n *Network) cycleNames(members, walk []int32, eventsPerMember int32) []string {
	path := make([]int32, len(walk))
	for i, event := range walk {
		path[i] = members[event/eventsPerMember]
	}
	path = slices.Compact(path)
	if len(path) == 1 || path[0] != path[len(path)-1] {
		path = append(path, path[0])
	}
	return n.names(path)
}

// checkWindows returns a *WindowError if a release date, followed along the links without any
// closed hours, passes a deadline.
func (n *Network) checkWindows() error {
	// per activity, its start and its finish
	earliest := slices.Repeat([]Instant{minInstant}, 2*n.Len())
	via := slices.Repeat([]int32{-1}, 2*n.Len())
	raise := func(event int32, to Instant, from int32) bool {
		if to <= earliest[event] {
			return false
		}
		earliest[event], via[event] = to, from
		return true
	}
	relax := func(i int32) bool {
		nd, start := &n.nodes[i], 2*i
		if nd.fixed != minInstant {
			return false
		}
		raised := raise(start, nd.release, -1)
		for _, e := range n.incoming(i) {
			from := 2*e.from + e.fromPoint.event()
			if length, ok := n.minuteLength(&e); ok && earliest[from] != minInstant {
				raised = raise(start+e.point.event(), earliest[from].Add(Minutes(length)), from) ||
					raised
			}
		}
		if earliest[start] != minInstant {
			raised = raise(start+1, earliest[start].Add(nd.work.Minutes()), start) || raised
		}
		if nd.work == 0 {
			raised = raise(start, earliest[start+1], start+1) || raised
		}
		return raised
	}
	for _, r := range n.components {
		for raised := true; raised; {
			raised = false
			for _, i := range n.order[r.from:r.to] {
				raised = relax(i) && r.cyclic || raised
			}
		}
	}
	for _, i := range n.order {
		finish := 2*i + 1
		if end := earliest[finish].Add(n.nodes[i].tail); earliest[finish] != minInstant &&
			end > n.nodes[i].deadline {
			var walk []int32
			for event := finish; event >= 0; event = via[event] {
				walk = append(walk, event/2)
			}
			walk = slices.Compact(walk)
			slices.Reverse(walk)
			return &WindowError{n.names(walk), end.UTC(), n.nodes[i].deadline.UTC()}
		}
	}
	return nil
}
