package rcpsp

// capacityBound returns the largest, over the resources, of the first tick by which the resource
// has offered as many unit-ticks as the work needs, at most horizon. Capacities may vary.
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

// ticksFor returns the first tick by which c has offered work unit-ticks from tick first on.
func ticksFor(c Capacity, first, work int) int {
	for k, s := range c {
		from := max(first, s.From)
		if k+1 == len(c) {
			// Nothing is offered any more; whether the rest fits is for the search to find out.
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
