package schedule

import "fmt"

// Link says that one end of To waits for one end of From; or, with AtMost, that it follows no later than the lag.
type Link struct {
	From, To string
	Kind     LinkKind
	FromEnd  End // which finish of From counts; FinishToStart and FinishToFinish only
	ToEnd    End // which finish of To counts; FinishToFinish and StartToFinish only
	Lag      Lag
	AtMost   bool // Lag is a maximum instead of a minimum ("second coat within 24 h"); needs a Lag
}

// LinkKind names the two ends that a link ties. The zero value is finish to start.
type LinkKind uint8

// The four kinds of precedence diagramming.
const (
	FinishToStart LinkKind = iota
	StartToStart
	FinishToFinish
	StartToFinish
)

// End chooses between the two finishes of an activity.
type End uint8

const (
	// EndDefault counts From's finish at the end of its tail when the link has no lag and at the end of attended work when it has one (a
	// lag replaces the tail), and To's finish at the end of attended work.
	EndDefault End = iota
	// EndAttended counts the end of attended work.
	EndAttended
	// EndTail counts the end of the tail; a lag begins there.
	EndTail
)

// Lag is a distance in time, of either sign; negative is a lead. The zero value is no lag, which differs from a lag of zero: without a
// lag a successor waits for the tail of its predecessor, with one the lag stands in the tail's place.
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

// WorkingLag is a lag counted in working ticks.
func WorkingLag(t Ticks) Lag { return Lag{lagWorking, int64(t)} }

// ElapsedLag is a lag counted by the clock, through nights and weekends.
func ElapsedLag(m Minutes) Lag { return Lag{lagElapsed, int64(m)} }

// point is one of the three instants of an activity that a link can tie.
type point uint8

const (
	pointStart point = iota
	pointFinish
	pointTail
)

// edge is a link made uniform: the `to` point of one activity happens no earlier than the `from` point of another plus the lag. A
// maximum lag from A to B becomes an edge from B to A with the lag negated.
type edge struct {
	from, to         int32
	link             int32
	fromPoint, point point
	working          bool // lag counts ticks, else minutes
	atMost           bool
	lag              int64
}

// edge makes the link uniform. An absent tail and an absent working lag are folded away, so that the passes meet the plain case.
func (l *Link) edge(position, from, to int, activities []Activity) edge {
	e := edge{
		from: index32(from), to: index32(to), link: index32(position),
		working: l.Lag.kind == lagWorking, lag: l.Lag.amount,
	}
	if l.Kind == FinishToStart || l.Kind == FinishToFinish {
		e.fromPoint = pointFinish
		if l.FromEnd == EndTail || l.FromEnd == EndDefault && l.Lag.kind == lagNone {
			e.fromPoint = pointTail
		}
	}
	if l.Kind == FinishToFinish || l.Kind == StartToFinish {
		e.point = pointFinish
		if l.ToEnd == EndTail {
			e.point = pointTail
		}
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
	if e.point == pointTail && activities[e.to].Tail == 0 {
		e.point = pointFinish
	}
	return e
}

// check names what is wrong with the link's own values.
func (l *Link) check(position int) []error {
	var faults []error
	fault := func(field, problem string) {
		faults = append(faults, &ValueError{fmt.Sprintf("link %d, %s to %s", position, l.From, l.To), field, problem})
	}
	if l.Kind > StartToFinish {
		fault("kind", "unknown")
	}
	if l.FromEnd > EndTail || l.ToEnd > EndTail {
		fault("end", "unknown")
	}
	if l.FromEnd != EndDefault && (l.Kind == StartToStart || l.Kind == StartToFinish) {
		fault("from end", "the link begins at a start, which is the same for work and tail")
	}
	if l.ToEnd != EndDefault && (l.Kind == FinishToStart || l.Kind == StartToStart) {
		fault("to end", "the link ends at a start, which is the same for work and tail")
	}
	if l.AtMost && l.Lag.kind == lagNone {
		fault("lag", "a maximum needs a lag")
	}
	limit := int64(maxTicks)
	if l.Lag.kind == lagElapsed {
		limit *= int64(TickMinutes)
	}
	if l.Lag.amount > limit || l.Lag.amount < -limit {
		fault("lag", "longer than the longest axis")
	}
	return faults
}
