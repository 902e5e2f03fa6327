package schedule

import (
	"slices"
	"time"
)

// Timing is what the critical path says of one activity.
type Timing struct {
	Early, Late Dates
	// TotalFloat is how many ticks the start can slip without moving the finish or passing a deadline. It is negative when a deadline or
	// a fixed start can't be kept. Late dates stop at the start of the axis, so a float can't go below that.
	TotalFloat Ticks
	// FreeFloat is how many ticks the start can slip without even moving the early dates of another activity. It is at least 0, and at
	// most TotalFloat unless that is negative.
	FreeFloat Ticks
	Bound     Bound // why it starts no earlier
}

// Analysis is the critical path of a network. Activities stand at their network positions. The zero value is ready for Compute.
type Analysis struct {
	Activities []Timing
	// Path is the driving chain from the data date (or a release, or a fixed start) to the finish: each activity is the one whose link
	// held back the next. Its floats needn't be 0: closed hours after a tail absorb some delay.
	Path     []int
	Finish   Instant // end of the last tail, or of the terminal activity's
	DataDate Instant // as rounded up to the first working tick

	early, late []Dates // the same dates as in Activities, close together for the passes
	walked      []bool
}

// CriticalPath computes early and late dates, floats and the driving chain in O(V+E); activities that maximum lags tie in a circle are
// iterated until they stand still. It returns a *HorizonError that names the activity (or the data date) that falls off the axis.
func CriticalPath(n *Network, a *Axis, dataDate time.Time) (*Analysis, error) {
	r := &Analysis{}
	return r, r.Compute(n, a, dataDate, NoTerminal)
}

// NoTerminal asks for the finish of the whole network.
const NoTerminal = -1

// CriticalPathTo is CriticalPath with the finish set by one activity, at position terminal of the network: the path leads to it, and the
// floats of what it waits for count to it. Everything else still has until the end of the whole network.
func CriticalPathTo(n *Network, a *Axis, dataDate time.Time, terminal int) (*Analysis, error) {
	r := &Analysis{}
	return r, r.Compute(n, a, dataDate, terminal)
}

// Compute does the work of CriticalPathTo (of CriticalPath, when terminal is NoTerminal) in r, reusing its memory; it allocates nothing
// once r has served a network of that size. After an error r holds no result.
func (r *Analysis) Compute(n *Network, a *Axis, dataDate time.Time, terminal int) error {
	if terminal != NoTerminal && (terminal < 0 || terminal >= n.Len()) {
		return &ValueError{"critical path", "terminal", "no activity of the network"}
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
		r.walk(last)
	}
	for i := range r.Activities {
		r.Activities[i].Early = r.early[i]
	}
	r.backward(n, a, whole, terminal)
	for i := range r.Activities {
		r.settle(n, a, index32(i), whole, terminal)
	}
	return nil
}

// dataInstant is the start of the first tick at or after the data date.
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

// walk follows the driving links back from the last activity. Where closed hours let maximum lags drive each other in a circle, the walk
// starts with the activity at which it would come round.
func (r *Analysis) walk(last int) {
	r.walked = resize(r.walked, len(r.Activities))
	clear(r.walked)
	for at := last; at >= 0 && !r.walked[at]; at = r.Activities[at].Bound.Activity {
		r.walked[at] = true
		r.Path = append(r.Path, at)
	}
	slices.Reverse(r.Path)
}
