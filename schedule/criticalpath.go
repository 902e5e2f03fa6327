package schedule

import (
	"slices"
	"time"
)

// Timing holds the critical-path dates and floats of one activity.
type Timing struct {
	Early, Late Dates
	// TotalFloat is how many ticks the start can slip without moving the finish or passing a
	// deadline. It is negative if a deadline or a fixed start can't be kept. Late dates stop at the
	// start of the axis, so a float can't go below that.
	TotalFloat Ticks
	// FreeFloat is how many ticks the start can slip without moving the early dates of any other
	// activity. It is at least 0, and at most TotalFloat unless that is negative.
	FreeFloat Ticks
	Driver    Driver // what holds its early start back
}

// Analysis is the critical path of a network. Activities stand at their network positions. The zero
// value is ready for Compute.
type Analysis struct {
	Activities []Timing
	// Path is the driving path from the data date (or a release date, or a fixed start) to the
	// finish: each activity is the one whose link drives the next. Their floats needn't be 0:
	// closed hours after a tail absorb some delay.
	Path     []int
	Finish   Instant // end of the last tail, or of the terminal activity's tail
	DataDate Instant // rounded up to the first working tick

	early, late []Dates // the dates of Activities, stored together for the passes
	visited     []bool
}

// CriticalPath computes early and late dates, floats and the driving path in O(V+E); activities on
// a cycle of maximum lags are iterated to a fixed point. It returns a *HorizonError that names the
// activity (or the data date) that falls off the axis.
func CriticalPath(n *Network, a *Axis, dataDate time.Time) (*Analysis, error) {
	r := &Analysis{}
	return r, r.Compute(n, a, dataDate, NoTerminal)
}

// NoTerminal makes Compute measure the finish of the whole network.
const NoTerminal = -1

// CriticalPathTo returns CriticalPath with the finish set by one activity, at position terminal of
// the network: the path leads to it, and the floats of its predecessors count to it. Everything
// else may take until the end of the whole network.
func CriticalPathTo(n *Network, a *Axis, dataDate time.Time, terminal int) (*Analysis, error) {
	r := &Analysis{}
	return r, r.Compute(n, a, dataDate, terminal)
}

// Compute does the work of CriticalPathTo (of CriticalPath if terminal is NoTerminal) in r, reusing
// its memory; it allocates nothing once r has served a network of that size. After an error r holds
// no result.
func (r *Analysis) Compute(n *Network, a *Axis, dataDate time.Time, terminal int) error {
	if terminal != NoTerminal && (terminal < 0 || terminal >= n.Len()) {
		return refuse("critical path", "terminal", "must be an activity of the network")
	}
	r.Path = r.Path[:0]
	r.Activities = resize(r.Activities, n.Len())
	r.early, r.late = resize(r.early, n.Len()), resize(r.late, n.Len())
	var err error
	if r.DataDate, err = dataInstant(a, dataDate); err != nil {
		return err
	}
	r.Finish = r.DataDate
	if err := r.forward(n, a); err != nil {
		return err
	}
	last, whole := r.last(n)
	if terminal != NoTerminal {
		last = terminal
	}
	if last >= 0 {
		r.Finish = r.early[last].TailEnd
		r.drivingPath(last)
	}
	for i := range r.Activities {
		r.Activities[i].Early = r.early[i]
	}
	r.backward(n, a, whole, terminal)
	for i := range r.Activities {
		r.setFloats(n, a, index32(i), whole, terminal)
	}
	return nil
}

// dataInstant returns the start of the first tick at or after the data date.
func dataInstant(a *Axis, dataDate time.Time) (Instant, error) {
	i := InstantAfter(dataDate)
	first := a.ceil(i)
	if i < a.From() || first >= a.Len() {
		return 0, a.horizon("data date")
	}
	return a.start(first), nil
}

func (a *Axis) horizon(name string) *HorizonError {
	return &HorizonError{Name: name, From: a.Time(a.From()), To: a.Time(a.To())}
}

func resize[E any](s []E, n int) []E {
	return slices.Grow(s[:0], n)[:n]
}

// drivingPath follows the driving links back from the last activity. Closed hours may let maximum
// lags drive each other in a cycle; the path then starts with the activity at which it would
// repeat.
func (r *Analysis) drivingPath(last int) {
	r.visited = resize(r.visited, len(r.Activities))
	clear(r.visited)
	for at := last; at >= 0 && !r.visited[at]; at = r.Activities[at].Driver.Activity {
		r.visited[at] = true
		r.Path = append(r.Path, at)
	}
	slices.Reverse(r.Path)
}
