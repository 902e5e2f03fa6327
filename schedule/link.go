package schedule

import "fmt"

// Link requires one end of To to wait for one end of From or, with AtMost, to follow it no later
// than the lag.
type Link struct {
	From, To string
	Kind     LinkKind
	Lag      Lag
	AtMost   bool // the lag is a maximum ("second coat within 24 h"); needs a Lag
}

// LinkKind names the two ends that a link joins. The zero value is finish to start.
type LinkKind uint8

// The four kinds of precedence diagramming.
const (
	FinishToStart LinkKind = iota
	StartToStart
	FinishToFinish
	StartToFinish
)

// Lag is a distance in time of either sign; a negative lag is a lead. The zero value isn't a lag,
// which differs from a lag of zero: without a lag a successor waits for the tail of its
// predecessor, with one the lag replaces the tail.
type Lag struct {
	kind   lagKind
	amount int64 // ticks or minutes
}

type lagKind uint8

const (
	lagNone lagKind = iota
	lagWorking
	lagElapsed
)

// WorkingLag returns a lag counted in working ticks.
func WorkingLag(t Ticks) Lag { return Lag{lagWorking, int64(t)} }

// ElapsedLag returns a lag counted by the clock, through nights and weekends.
func ElapsedLag(m Minutes) Lag { return Lag{lagElapsed, int64(m)} }

// Working returns the lag in working ticks; false if the lag isn't counted in them.
func (l Lag) Working() (Ticks, bool) {
	if l.kind != lagWorking {
		return 0, false
	}
	return Ticks(l.amount), true
}

// Elapsed returns the lag in minutes by the clock; false if the lag isn't counted by the clock.
func (l Lag) Elapsed() (Minutes, bool) {
	if l.kind != lagElapsed {
		return 0, false
	}
	return Minutes(l.amount), true
}

// point is one of the three instants of an activity that a link can join.
type point uint8

const (
	pointStart point = iota
	pointFinish
	pointTail
)

// edge is a link in uniform shape: the point of activity to, its start or finish, happens no
// earlier than the fromPoint of activity from plus the lag. A maximum lag from A to B becomes an
// edge from B to A with the lag negated.
type edge struct {
	from, to         int32
	link             int32
	fromPoint, point point
	working          bool // the lag counts ticks, else minutes
	atMost           bool
	lag              int64
}

// edge brings the link into uniform shape. Absent tails and absent working lags are folded away, so
// that the passes meet the plain case.
func (l *Link) edge(position, from, to int, activities []Activity) edge {
	e := edge{
		from: index32(from), to: index32(to), link: index32(position),
		working: l.Lag.kind == lagWorking, lag: l.Lag.amount,
	}
	if l.Kind == FinishToStart || l.Kind == FinishToFinish {
		e.fromPoint = pointFinish
		if l.Lag.kind == lagNone {
			e.fromPoint = pointTail
		}
	}
	if l.Kind == FinishToFinish || l.Kind == StartToFinish {
		e.point = pointFinish
	}
	if l.AtMost {
		e.atMost, e.lag = true, -e.lag
		e.from, e.to, e.fromPoint, e.point = e.to, e.from, e.point, e.fromPoint
	} else if e.lag == 0 {
		e.working = false
	}
	if e.fromPoint == pointTail && activities[e.from].Tail == 0 {
		e.fromPoint = pointFinish
	}
	return e
}

// check returns what is wrong with the link's own values.
func (l *Link) check(position int) []error {
	var faults []error
	fault := func(field, problem string) {
		name := fmt.Sprintf("link %d, %s to %s", position, l.From, l.To)
		faults = append(faults, &ValueError{name, field, problem})
	}
	if l.Kind > StartToFinish {
		fault("kind", "must be one of the four kinds")
	}
	if l.AtMost && l.Lag.kind == lagNone {
		fault("lag", "must be given for a maximum")
	}
	limit := int64(maxTicks)
	if l.Lag.kind == lagElapsed {
		limit *= int64(TickMinutes)
	}
	if l.Lag.amount > limit || l.Lag.amount < -limit {
		fault("lag", "must not be longer than the longest axis")
	}
	return faults
}
