package rcpsp

// parallel generates a schedule tick by tick: whatever may start and fits starts, the first in the
// list first (Kelley 1963; Kolisch 1996, both from memory). No resource idles while an activity
// could use it, which may miss every optimum but is good early. The list must be
// precedence-feasible, as for serial.
//
// Everything scheduled so far began by the current tick, so from there on free capacity only grows:
// what fits at one tick fits for good.
func (d *decoder) parallel(which int, order, start []int32) (makespan int32) {
	d.reset()
	d.spent += int64(len(order))
	net := d.net
	s := &net.sides[which]
	d.eligible = d.eligible[:0]
	for k, a := range order {
		d.rank[a] = narrow(k)
		d.ready[a] = s.release[a]
		if d.predecessors[a] = s.firstArc[a+1] - s.firstArc[a]; d.predecessors[a] == 0 {
			d.eligible = append(d.eligible, a)
		}
	}
	for t := int32(0); len(d.eligible) > 0; {
		next, waiting := int32(1<<30), false
		kept := 0
		for k := 0; k < len(d.eligible); k++ {
			a := d.eligible[k]
			switch {
			case d.ready[a] > t:
				next = min(next, d.ready[a])
			case d.fitsWide(a, t):
				d.reserveWide(a, t)
				start[a] = t
				makespan = max(makespan, t+net.duration[a])
				d.makeEligible(s, a, t)
				continue
			default:
				waiting = true
			}
			d.eligible[kept] = a
			kept++
		}
		d.eligible = d.eligible[:kept]
		if waiting {
			next = min(next, d.nextRelease(t))
		}
		t = next
	}
	return makespan
}

// makeEligible records that a starts at t. Activities whose predecessors are now all scheduled
// become eligible; they stand behind a in the list, and so in the part of the eligible ones that
// the sweep has yet to visit.
func (d *decoder) makeEligible(s *side, a, t int32) {
	for k := s.firstOut[a]; k < s.firstOut[a+1]; k++ {
		j := s.outs[k]
		d.ready[j] = max(d.ready[j], t+s.outLag[k])
		if d.predecessors[j]--; d.predecessors[j] > 0 {
			continue
		}
		d.eligible = append(d.eligible, j)
		for at := len(d.eligible) - 1; d.rank[d.eligible[at-1]] > d.rank[j]; at-- {
			d.eligible[at], d.eligible[at-1] = d.eligible[at-1], j
		}
	}
}

// nextRelease returns the first tick after t at which capacity is given back.
func (d *decoder) nextRelease(t int32) int32 {
	w := int32(d.net.words) //nolint:gosec // few
	for u := t + 1; ; u++ {
		for k := range w {
			if d.free[u*w+k] != d.free[t*w+k] {
				return u
			}
		}
	}
}
