package schedule

// forward finds the least dates that satisfy every link, release date and fixed start. Each ring is repeated from below until it stands
// still, which happens at once where no maximum lag closes a circle.
func (r *Analysis) forward(n *Network, a *Axis) error {
	for i := range r.early {
		r.early[i].StartTick = unplaced
	}
	for _, ring := range n.rings {
		for moved := true; moved; {
			moved = false
			for _, i := range n.order[ring.from:ring.to] {
				d, why, err := n.earliest(a, r.early, i, r.DataDate)
				if err != nil {
					return n.tied(err, ring)
				}
				// Only what moves an activity is its reason; what it then pushes in turn may hold it too, but comes second.
				if d != r.early[i] {
					moved = ring.circular
					r.early[i], r.Activities[i].Bound = d, why
				}
			}
		}
	}
	return nil
}

// tied adds to the error the activities that share a circle of maximum lags, since these may be what pushes one off the axis.
func (n *Network) tied(err *HorizonError, r ring) error {
	if r.circular {
		err.Tied = n.names(n.order[r.from:r.to])
	}
	return err
}

// earliest is the first place for activity i at or after an instant that its fixed start, its release date and the links from
// activities with dates allow, and the reason for it.
func (n *Network) earliest(a *Axis, dates []Dates, i int32, from Instant) (Dates, Bound, *HorizonError) {
	nd := &n.nodes[i]
	why := Bound{Kind: BoundDataDate, Link: none, Activity: none, Station: none, Reservation: none, Ready: from}
	if nd.fixed != minInstant {
		why.Kind, why.Ready = BoundFixed, nd.fixed
		if nd.fixed < a.From() {
			return Dates{}, why, a.horizon(n.activities[i].Name)
		}
		d, err := n.place(a, i, a.ceil(nd.fixed), nd.fixed)
		return d, why, err
	}
	instant := from
	if nd.release > from {
		instant, why.Kind, why.Ready = nd.release, BoundRelease, nd.release
	}
	s := a.ceil(instant)
	for k := n.in[i]; k < n.in[i+1]; k++ {
		e := &n.edges[k]
		d := &dates[e.from]
		if d.StartTick == unplaced {
			continue
		}
		ready := e.ready(a, d)
		if nd.work > 0 {
			t := nd.startBy(a, e.point, ready)
			if t <= s {
				continue
			}
			s = t
		} else {
			if e.point == pointTail {
				ready = ready.Add(-nd.tail)
			}
			if ready <= instant {
				continue
			}
			instant = ready
		}
		why.Kind, why.Link, why.Activity, why.Ready = BoundLink, int(e.link), int(e.from), ready
		if e.point != pointStart && nd.work > 0 && s < a.Len() {
			why.Ready = a.start(s)
		}
	}
	d, err := n.place(a, i, s, instant)
	return d, why, err
}

// place gives activity i its dates from tick s, or as a milestone from an instant. They must lie on the axis with their tail, or what
// follows could not be told.
func (n *Network) place(a *Axis, i int32, s Ticks, instant Instant) (Dates, *HorizonError) {
	nd := &n.nodes[i]
	if nd.work > a.Len()-s || nd.work == 0 && instant > a.To() {
		return Dates{}, a.horizon(n.activities[i].Name)
	}
	d := nd.dates(a, s, instant)
	if d.TailEnd > a.To() {
		return Dates{}, a.horizon(n.activities[i].Name)
	}
	return d, nil
}

// last is the activity whose tail ends last, the later in order where several do (a closing milestone stands after the work it closes),
// and the end of that tail.
func (r *Analysis) last(n *Network) (last int, end Instant) {
	last, end = none, minInstant
	for _, i := range n.order {
		if r.early[i].TailEnd >= end {
			last, end = int(i), r.early[i].TailEnd
		}
	}
	return last, end
}
