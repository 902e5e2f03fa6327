package schedule

// Dates are the start, attended finish and end of the tail of one activity. FinishTick is the position after the last tick worked; for a
// milestone both positions are the first tick at or after its instant, which may lie in closed hours.
type Dates struct {
	StartTick, FinishTick  Ticks
	Start, Finish, TailEnd Instant
}

// unplaced marks an activity that has no dates yet.
const unplaced Ticks = -1

// at is the instant of a point.
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

// dates are those of work that starts with tick s, or of a milestone at an instant. They lie on the axis.
func (nd *node) dates(a *Axis, s Ticks, instant Instant) Dates {
	if nd.work == 0 {
		p := a.ceil(instant)
		return Dates{p, p, instant, instant, instant.Add(nd.tail)}
	}
	finish := a.start(s + nd.work - 1).Add(TickMinutes)
	return Dates{s, s + nd.work, a.start(s), finish, finish.Add(nd.tail)}
}

// ready is the earliest instant at which e lets its point happen when the activity before it has the dates d. A lag of k working ticks
// ends with the k-th tick that starts at or after d's point; a lead of k begins at the end of the tick before the k last ones.
func (e *edge) ready(a *Axis, d *Dates) Instant {
	at := d.at(e.fromPoint)
	if !e.working {
		return at + Instant(e.lag)
	}
	return a.endBefore(a.ceil(at) + Ticks(e.lag))
}

// startBy is the first tick with which nd's work can start so that its point p is at i or later. It may lie off the axis.
func (nd *node) startBy(a *Axis, p point, i Instant) Ticks {
	if p == pointStart {
		return a.ceil(i)
	}
	if p == pointTail {
		i = i.Add(-nd.tail)
	}
	return a.ceil(i.Add(-TickMinutes)) + 1 - nd.work // the last tick is the first that ends at i or later
}

// due is the latest instant at which e's from point may happen for its other end to keep the dates d: the inverse of ready.
func (e *edge) due(a *Axis, d *Dates) Instant {
	at := d.at(e.point)
	if !e.working {
		return at - Instant(e.lag)
	}
	return a.startAfter(a.floor(at) - Ticks(e.lag))
}

// startFor is the last tick with which nd's work can start so that its point p is at i or earlier: the inverse of startBy. It may lie
// before the axis.
func (nd *node) startFor(a *Axis, p point, i Instant) Ticks {
	if p == pointStart {
		return a.ceil(i+1) - 1
	}
	if p == pointTail {
		i = i.Add(-nd.tail)
	}
	return a.floor(i) - nd.work
}
