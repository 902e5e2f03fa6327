package rcpsp

// parallel plans tick by tick: whatever may start and fits does start, the first
// in the list first (Kelley 1963; Kolisch 1996, both from memory). No resource
// idles while something could use it, which may miss every optimum but is good
// early. The list is precedence-feasible, as for serial.
//
// Everything planned so far began by the tick at hand, so that from there on
// free capacity only grows: what fits one tick fits for good.
func (d *decoder) parallel(which int, order, start []int32) (makespan int32) {
	d.reset()
	d.spent += int64(len(order))
	net := d.net
	s := &net.sides[which]
	for _, a := range order {
		start[a] = -1
	}
	pending := append(d.pending[:0], order...)
	for t := int32(0); len(pending) > 0; {
		next, waiting := int32(1<<30), false
		kept := pending[:0]
		for _, a := range pending {
			est, ready := s.earliest(a, start)
			switch {
			case !ready:
			case est > t:
				next = min(next, est)
			case d.fitsWide(a, t):
				d.takeWide(a, t)
				start[a] = t
				makespan = max(makespan, t+net.duration[a])
				continue
			default:
				waiting = true
			}
			kept = append(kept, a)
		}
		pending = kept
		if waiting {
			next = min(next, d.release(t))
		}
		t = next
	}
	return makespan
}

// earliest is when the links let a start, if all it waits for is planned.
func (s *side) earliest(a int32, start []int32) (est int32, ready bool) {
	est = s.release[a]
	for _, in := range s.arcs[s.firstArc[a]:s.firstArc[a+1]] {
		if start[in.from] < 0 {
			return 0, false
		}
		est = max(est, start[in.from]+in.lag)
	}
	return est, true
}

// release is the first tick after t at which something gives capacity back.
func (d *decoder) release(t int32) int32 {
	w := int32(d.net.words) //nolint:gosec // few
	for u := t + 1; ; u++ {
		for k := range w {
			if d.free[u*w+k] != d.free[t*w+k] {
				return u
			}
		}
	}
}
