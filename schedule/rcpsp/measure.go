package rcpsp

// varyingCapacity lays out capacities that change over time. They are left to the clause-learning
// search: a mirrored plan would need an end fixed in advance, and the forward-backward passes live
// on the freedom of that end.
func (net *network) varyingCapacity(p *Problem) {
	last := 0
	for _, c := range p.Capacities {
		last = max(last, c[len(c)-1].From)
	}
	if last == 0 || last*net.words > cellsMax {
		return // constant, or refused by measure
	}
	net.general = true
	net.base = make([]uint64, last*net.words)
	for t := range last {
		for w := range net.words {
			net.base[t*net.words+w] = net.guard[w]
		}
	}
	for r, c := range p.Capacities {
		w, shift := net.inWord[r], net.shift[r]
		for k, s := range c {
			end := last
			if k+1 < len(c) {
				end = c[k+1].From
			}
			for t := s.From; t < end; t++ {
				//nolint:gosec // at most MaxUnits
				net.base[t*net.words+w] |= uint64(s.Units) << shift
			}
		}
	}
}

// computeWork measures each activity by its share of the resources' capacities.
func (net *network) computeWork(p *Problem) {
	net.work = make([]int64, net.n)
	ticks, loaded := 0, 0
	for k, i := range net.original {
		share := 0.0
		for r, need := range p.Activities[i].Demand {
			share += float64(need) / float64(max(1, p.Capacities[r].max())*len(p.Capacities))
		}
		net.work[k] = int64(256 * share * float64(net.duration[k]))
		if share > 0 {
			ticks += int(net.duration[k])
			loaded++
		}
	}
	net.meanDuration = max(1, narrow(ticks/max(1, loaded)))
}

// measure computes heads, tails, the horizon and the first lower bounds. Beyond the last capacity
// step and release date, a tick at which nothing runs and no lag passes can be cut out of any plan,
// which gives the horizon.
func (net *network) measure(p *Problem) error {
	horizon, release := 0, 0
	for _, c := range p.Capacities {
		horizon = max(horizon, c[len(c)-1].From)
	}
	for k, i := range net.original {
		horizon += int(net.duration[k])
		release = max(release, p.Activities[i].Release)
	}
	for _, l := range p.Links {
		horizon += max(0, l.Lag-p.Activities[l.From].Duration)
	}
	horizon += release
	if limit := min(MaxTicks, cellsMax/net.words); horizon > limit {
		return &HorizonError{Ticks: horizon, Limit: limit}
	}
	net.horizon = int32(horizon)
	net.bound = capacityBound(p, horizon)
	if net.general {
		return nil
	}
	for d := range net.sides {
		net.sides[d].longestPaths(net.duration)
	}
	for i := range net.n {
		net.cpm = max(net.cpm, net.sides[0].head[i]+net.sides[0].tail[i])
	}
	net.bound = max(net.bound, net.cpm)
	return nil
}

// longestPaths computes head and tail by one sweep each way over the links.
func (s *side) longestPaths(duration []int32) {
	s.head = append([]int32(nil), s.release...)
	s.tail = append([]int32(nil), duration...)
	for _, i := range s.topo {
		for _, a := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			s.head[i] = max(s.head[i], s.head[a.from]+a.lag)
		}
	}
	for k := len(s.topo) - 1; k >= 0; k-- {
		i := s.topo[k]
		for _, a := range s.arcs[s.firstArc[i]:s.firstArc[i+1]] {
			s.tail[a.from] = max(s.tail[a.from], s.tail[i]+a.lag)
		}
	}
}
