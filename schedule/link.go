package schedule

// Link says that one end of To waits for one end of From, or with AtMost, that it follows no later than the lag.
type Link struct {
	From, To string
	Kind     LinkKind
	FromEnd  End // which finish of From counts, for FinishToStart and FinishToFinish
	ToEnd    End // which finish of To counts, for FinishToFinish and StartToFinish
	Lag      Lag
	AtMost   bool // Lag is a maximum, not a minimum: "second coat within 24 h"; needs a Lag
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
	// EndDefault counts From's finish at the end of its tail when the link has no lag and at the end of attended work when it has one
	// (a lag replaces the tail), and To's finish at the end of attended work.
	EndDefault End = iota
	// EndAttended counts the end of attended work.
	EndAttended
	// EndTail counts the end of the tail; with a lag, the lag begins there.
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
