package schedule

// backward computes the latest dates that satisfy every link, deadline and fixed start and end by
// the finish.
func (r *Analysis) backward(n *Network, a *Axis, whole Instant, terminal int) {
	for i := range r.late {
		r.late[i].StartTick = unplaced
	}
	for k := len(n.components) - 1; k >= 0; k-- {
		c := n.components[k]
		members := n.order[c.from:c.to]
		for moved := true; moved; {
			moved = false
			for m := len(members) - 1; m >= 0; m-- {
				i := members[m]
				end := min(r.endLimit(int(i), whole, terminal), n.nodes[i].deadline)
				d := r.latest(n, a, r.late, i, end)
				if c.cyclic && d != r.late[i] {
					moved = true
				}
				r.late[i] = d
			}
		}
	}
}

// endLimit returns the instant by which activity i's tail must have ended for the finish to stand.
func (r *Analysis) endLimit(i int, whole Instant, terminal int) Instant {
	if i == terminal {
		return r.Finish
	}
	return whole
}

// latest returns the latest dates of activity i, its tail ending by end, that leave the dates of
// its successors as they are. They don't go before the start of the axis.
func (r *Analysis) latest(n *Network, a *Axis, dates []Dates, i int32, end Instant) Dates {
	nd := &n.nodes[i]
	if nd.fixed != minInstant {
		return r.Activities[i].Early
	}
	s, instant := nd.startFor(a, pointTail, end), end.Add(-nd.tail)
	for _, k := range n.outgoing(i) {
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

// setFloats enters the late dates and floats of activity i in the result.
func (r *Analysis) setFloats(n *Network, a *Axis, i int32, whole Instant, terminal int) {
	t := &r.Activities[i]
	t.Late = r.late[i]
	t.TotalFloat = floatTicks(a, &n.nodes[i], &t.Early, &t.Late)
	free := r.latestAlone(n, a, i, r.endLimit(int(i), whole, terminal))
	t.FreeFloat = max(0, min(t.TotalFloat, floatTicks(a, &n.nodes[i], &t.Early, &free)))
}

// latestAlone returns the latest dates of activity i, its tail ending by end, that leave the early
// dates of all others as they are. A maximum lag on its own work moves with it, so the computation
// is repeated until the dates stand still.
func (r *Analysis) latestAlone(n *Network, a *Axis, i int32, end Instant) Dates {
	early := r.early[i]
	defer func() { r.early[i] = early }()
	r.early[i].StartTick = unplaced
	d := r.latest(n, a, r.early, i, end)
	for n.nodes[i].selfBound {
		r.early[i] = d
		next := r.latest(n, a, r.early, i, end)
		if next == d {
			break
		}
		d = next
	}
	return d
}

// floatTicks returns the number of working ticks from one position of an activity to a later one.
// For a milestone it counts the whole ticks between its instants, of which there may be none though
// the instants differ.
func floatTicks(a *Axis, nd *node, early, late *Dates) Ticks {
	if nd.work > 0 {
		return late.StartTick - early.StartTick
	}
	ticks := a.floor(late.Start) - a.ceil(early.Start)
	if late.Start >= early.Start {
		return max(0, ticks)
	}
	return ticks
}
