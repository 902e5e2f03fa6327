package rcpsp

// capacityBound is total work over capacity per resource, with capacity that
// may vary: the first tick by which enough unit-ticks have been offered, at most
// horizon.
func capacityBound(p *Problem, horizon int) int32 {
	best := 0
	for r, c := range p.Capacities {
		work := 0
		first := MaxTicks
		for i := range p.Activities {
			a := &p.Activities[i]
			if w := a.Duration * a.Demand[r]; w > 0 {
				work += w
				first = min(first, a.Release)
			}
		}
		if work == 0 {
			continue
		}
		best = max(best, ticksFor(c, first, work))
	}
	return narrow(min(best, horizon))
}

// ticksFor returns when c has offered work unit-ticks from tick first on.
func ticksFor(c Capacity, first, work int) int {
	for k, s := range c {
		from := max(first, s.From)
		if k+1 == len(c) {
			// Nothing left to offer: whether the rest fits is for the search.
			if s.Units == 0 {
				return first
			}
			return from + (work+s.Units-1)/s.Units
		}
		end := c[k+1].From
		if from >= end {
			continue
		}
		offered := s.Units * (end - from)
		if offered >= work {
			return from + (work+s.Units-1)/s.Units
		}
		work -= offered
	}
	return first
}
