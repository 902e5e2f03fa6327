package schedule

// backward finds the greatest dates that satisfy every link, deadline and fixed start and end by the finish.
func (r *Analysis) backward(n *Network, a *Axis, whole Instant, terminal int) {
	for i := range r.late {
		r.late[i].StartTick = unplaced
	}
	for k := len(n.rings) - 1; k >= 0; k-- {
		ring := n.rings[k]
		members := n.order[ring.from:ring.to]
		for moved := true; moved; {
			moved = false
			for m := len(members) - 1; m >= 0; m-- {
				i := members[m]
				end := min(r.limit(int(i), whole, terminal), n.nodes[i].deadline)
				d := r.latest(n, a, r.late, i, end)
				if ring.circular && d != r.late[i] {
					moved = true
				}
				r.late[i] = d
			}
		}
	}
}

// limit is when activity i's tail must have ended for the finish to stand.
func (r *Analysis) limit(i int, whole Instant, terminal int) Instant {
	if i == terminal {
		return r.Finish
	}
	return whole
}

// latest is the last place for activity i, its tail ending by end, that leaves the activities after it their dates. It doesn't go before
// the start of the axis.
func (r *Analysis) latest(n *Network, a *Axis, dates []Dates, i int32, end Instant) Dates {
	nd := &n.nodes[i]
	if nd.fixed != minInstant {
		return r.Activities[i].Early
	}
	s, instant := nd.startFor(a, pointTail, end), end.Add(-nd.tail)
	for _, k := range n.from(i) {
		e := &n.edges[k]
		d := &dates[e.to]
		if d.StartTick == unplaced {
			continue
		}
		due := e.due(a, d)
		if nd.work > 0 {
			s = min(s, nd.startFor(a, e.fromPoint, due))
			continue
		}
		if e.fromPoint == pointTail {
			due = due.Add(-nd.tail)
		}
		instant = min(instant, due)
	}
	return nd.dates(a, max(0, s), max(a.From(), instant))
}

// settle puts the dates and floats of activity i into the result.
func (r *Analysis) settle(n *Network, a *Axis, i int32, whole Instant, terminal int) {
	t := &r.Activities[i]
	t.Late = r.late[i]
	t.TotalFloat = slack(a, &n.nodes[i], &t.Early, &t.Late)
	free := r.free(n, a, i, r.limit(int(i), whole, terminal))
	t.FreeFloat = max(0, min(t.TotalFloat, slack(a, &n.nodes[i], &t.Early, &free)))
}

// free is the last place for activity i, its tail ending by end, that leaves the early dates of all others. A maximum lag on its own work
// moves with it, and is repeated from above until it stands still.
func (r *Analysis) free(n *Network, a *Axis, i int32, end Instant) Dates {
	early := r.early[i]
	defer func() { r.early[i] = early }()
	r.early[i].StartTick = unplaced
	d := r.latest(n, a, r.early, i, end)
	for n.nodes[i].selfTied {
		r.early[i] = d
		next := r.latest(n, a, r.early, i, end)
		if next == d {
			break
		}
		d = next
	}
	return d
}

// slack is the number of working ticks from one place of an activity to a later one. A milestone's counts the whole ticks between its
// instants, of which there may be none though they differ.
func slack(a *Axis, nd *node, early, late *Dates) Ticks {
	if nd.work > 0 {
		return late.StartTick - early.StartTick
	}
	ticks := a.floor(late.Start) - a.ceil(early.Start)
	if late.Start >= early.Start {
		return max(0, ticks)
	}
	return ticks
}
