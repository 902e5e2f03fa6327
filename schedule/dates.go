package schedule

// Dates are the start, attended finish and end of the tail of one activity. FinishTick is the
// position after the last tick worked. For a milestone both positions are the first tick at or
// after its instant, which may lie in closed hours.
type Dates struct {
	StartTick, FinishTick  Ticks
	Start, Finish, TailEnd Instant
}

// unplaced is the StartTick of an activity that has no dates yet.
const unplaced Ticks = -1

// at returns the instant of a point.
func (d *Dates) at(p point) Instant {
	switch p {
	case pointStart:
		return d.Start
	case pointFinish:
		return d.Finish
	default:
		return d.TailEnd
	}
}

// dates returns the dates of work that starts with tick s, or of a milestone at an instant. They
// must lie on the axis.
func (nd *node) dates(a *Axis, s Ticks, instant Instant) Dates {
	if nd.work == 0 {
		p := a.ceil(instant)
		return Dates{p, p, instant, instant, instant.Add(nd.tail)}
	}
	finish := a.start(s + nd.work - 1).Add(TickMinutes)
	return Dates{s, s + nd.work, a.start(s), finish, finish.Add(nd.tail)}
}

// ready returns the earliest instant that e allows for its point if the activity before it has the
// dates d. A lag of k working ticks ends with the k-th tick that starts at or after d's point; a
// lead of k begins at the end of the tick before the last k.
func (e *edge) ready(a *Axis, d *Dates) Instant {
	at := d.at(e.fromPoint)
	if !e.working {
		return at + Instant(e.lag)
	}
	return a.endBefore(a.ceil(at) + Ticks(e.lag))
}

// startBy returns the first tick with which nd's work can start so that its point p, the start or
// the finish, is at i or later. It may lie off the axis.
func (nd *node) startBy(a *Axis, p point, i Instant) Ticks {
	if p == pointStart {
		return a.ceil(i)
	}
	// The last tick is the first that ends at i or later.
	return a.ceil(i.Add(-TickMinutes)) + 1 - nd.work
}

// due returns the latest instant of e's from point at which its other end can keep the dates d: the
// inverse of ready.
func (e *edge) due(a *Axis, d *Dates) Instant {
	at := d.at(e.point)
	if !e.working {
		return at - Instant(e.lag)
	}
	return a.startAfter(a.floor(at) - Ticks(e.lag))
}

// startFor returns the last tick with which nd's work can start so that its point p is at i or
// earlier: the inverse of startBy. It may lie before the axis.
func (nd *node) startFor(a *Axis, p point, i Instant) Ticks {
	if p == pointStart {
		return a.ceil(i+1) - 1
	}
	if p == pointTail {
		i = i.Add(-nd.tail)
	}
	return a.floor(i) - nd.work
}
