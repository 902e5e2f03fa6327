package schedule

// forward computes the earliest dates that satisfy every link, release date and fixed start. Each
// component is iterated from below to a fixed point, which one pass reaches where no maximum lag
// closes a cycle.
func (r *Analysis) forward(n *Network, a *Axis) error {
	for i := range r.early {
		r.early[i].StartTick = unplaced
	}
	for _, c := range n.components {
		for moved := true; moved; {
			moved = false
			for _, i := range n.order[c.from:c.to] {
				d, why, err := n.earliest(a, r.early, i, r.DataDate)
				if err != nil {
					return n.withCycle(err, c)
				}
				// Only what moves an activity is its driver; what it then pushes in turn may hold
				// it too, but comes second.
				if d != r.early[i] {
					moved = c.cyclic
					r.early[i], r.Activities[i].Driver = d, why
				}
			}
		}
	}
	return nil
}

// withCycle adds to the error the activities on a cycle of maximum lags, any of which may be what
// pushed one off the axis.
func (n *Network) withCycle(err *HorizonError, c component) error {
	if c.cyclic {
		err.Tied = n.names(n.order[c.from:c.to])
	}
	return err
}

// earliest returns the earliest dates of activity i at or after an instant that its fixed start,
// its release date and the links from activities with dates allow, and what drives them.
func (n *Network) earliest(
	a *Axis, dates []Dates, i int32, from Instant,
) (Dates, Driver, *HorizonError) {
	nd := &n.nodes[i]
	why := Driver{
		Kind: DriverDataDate, Link: none, Activity: none, Station: none, Reservation: none,
		Ready: from,
	}
	if nd.fixed != minInstant {
		why.Kind, why.Ready = DriverFixed, nd.fixed
		if nd.fixed < a.From() {
			return Dates{}, why, a.horizon(n.activities[i].Name)
		}
		d, err := n.placeActivity(a, i, a.ceil(nd.fixed), nd.fixed)
		return d, why, err
	}
	instant := from
	if nd.release > from {
		instant, why.Kind, why.Ready = nd.release, DriverRelease, nd.release
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
			if ready <= instant {
				continue
			}
			instant = ready
		}
		why.Kind, why.Link, why.Activity, why.Ready = DriverLink, int(e.link), int(e.from), ready
		if e.point != pointStart && nd.work > 0 && s < a.Len() {
			why.Ready = a.start(s)
		}
	}
	d, err := n.placeActivity(a, i, s, instant)
	return d, why, err
}

// placeActivity returns the dates of activity i from tick s, or as a milestone from an instant.
// They must lie on the axis with their tail, or their successors could not be dated.
func (n *Network) placeActivity(a *Axis, i int32, s Ticks, instant Instant) (Dates, *HorizonError) {
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

// last returns the activity whose tail ends last, and that end. Of several it returns the last in
// order, since a closing milestone stands after the work it closes.
func (r *Analysis) last(n *Network) (last int, end Instant) {
	last, end = none, minInstant
	for _, i := range n.order {
		if r.early[i].TailEnd >= end {
			last, end = int(i), r.early[i].TailEnd
		}
	}
	return last, end
}
