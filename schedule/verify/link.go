package verify

import "bentside/schedule"

func (v *verifier) link(k int) {
	n := v.problem.Network
	l := n.Link(k)
	from, fromKnown := n.Index(l.From)
	to, toKnown := n.Index(l.To)
	if !fromKnown || !toKnown {
		v.add(Shape, "link %d joins %s and %s, which must both be activities", k, l.From,
			l.To)
		return
	}
	if a, b := n.Activity(from), n.Activity(to); unavoidable(&l, &a, &b) {
		return
	}
	x, y := ends(&l, &v.plan.Placements[from].Dates, &v.plan.Placements[to].Dates)
	if !v.keeps(&l, x, y) {
		v.add(Link, "%s does not keep link %d from %s: %v, then %v", l.To, k, l.From,
			x.UTC(), y.UTC())
	}
}

// unavoidable reports whether a link from a to b ties dates that planning cannot change.
func unavoidable(l *schedule.Link, a, b *schedule.Activity) bool {
	if b.UnderWay && !l.AtMost {
		return true
	}
	return !b.FixedStart.IsZero() && (!l.AtMost || !a.FixedStart.IsZero() || a.UnderWay)
}

// ends returns the two instants that a link ties.
func ends(l *schedule.Link, a, b *schedule.Dates) (from, to schedule.Instant) {
	from, to = a.Finish, b.Start
	switch {
	case l.Kind == schedule.StartToStart || l.Kind == schedule.StartToFinish:
		from = a.Start
	case l.Lag == schedule.Lag{}:
		from = a.TailEnd
	}
	if l.Kind == schedule.FinishToFinish || l.Kind == schedule.StartToFinish {
		to = b.Finish
	}
	return from, to
}

// keeps reports whether two instants are at least, or with AtMost at most, as far apart as the lag
// says.
func (v *verifier) keeps(l *schedule.Link, x, y schedule.Instant) bool {
	distance, lag := int64(y-x), int64(0)
	if minutes, elapsed := l.Lag.Elapsed(); elapsed {
		lag = int64(minutes)
	}
	// A working lag of zero as a minimum asks for no working time between, and so for the plain
	// order of the instants.
	if ticks, working := l.Lag.Working(); working && (ticks != 0 || l.AtMost) {
		distance, lag = int64(v.ticksBefore(y)-v.ticksBefore(x)), int64(ticks)
	}
	if l.AtMost {
		return distance <= lag
	}
	return distance >= lag
}
