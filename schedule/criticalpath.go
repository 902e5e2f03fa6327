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

// forward finds the least dates that satisfy every link, release date and fixed start. Each ring is repeated from below until it stands
// still, which happens at once where no maximum lag closes a circle.
func (r *Analysis) forward(n *Network, a *Axis) error {
	for i := range r.early {
		r.early[i].StartTick = unplaced
	}
	for _, ring := range n.rings {
		for moved := true; moved; {
			moved = false
			for _, i := range n.order[ring.from:ring.to] {
				d, why, err := n.earliest(a, r.early, i, r.DataDate)
				if err != nil {
					return n.tied(err, ring)
				}
				// Only what moves an activity is its reason; what it then pushes in turn may hold it too, but comes second.
				if d != r.early[i] {
					moved = ring.circular
					r.early[i], r.Activities[i].Bound = d, why
				}
			}
		}
	}
	return nil
}

// tied adds to the error the activities that share a circle of maximum lags, since these may be what pushes one off the axis.
func (n *Network) tied(err *HorizonError, r ring) error {
	if r.circular {
		err.Tied = n.names(n.order[r.from:r.to])
	}
	return err
}

// earliest is the first place for activity i at or after an instant that its fixed start, its release date and the links from
// activities with dates allow, and the reason for it.
func (n *Network) earliest(a *Axis, dates []Dates, i int32, from Instant) (Dates, Bound, *HorizonError) {
	nd := &n.nodes[i]
	why := Bound{Kind: BoundDataDate, Link: none, Activity: none, Station: none, Reservation: none, Ready: from}
	if nd.fixed != minInstant {
		why.Kind, why.Ready = BoundFixed, nd.fixed
		if nd.fixed < a.From() {
			return Dates{}, why, a.horizon(n.activities[i].Name)
		}
		d, err := n.place(a, i, a.ceil(nd.fixed), nd.fixed)
		return d, why, err
	}
	instant := from
	if nd.release > from {
		instant, why.Kind, why.Ready = nd.release, BoundRelease, nd.release
	}
	s := a.ceil(instant)
	for k := n.in[i]; k < n.in[i+1]; k++ {
		e := &n.edges[k]
		d := &dates[e.from]
		if d.StartTick == unplaced {
			continue
		}
		ready := e.ready(a, d)
		if nd.work > 0 {
			t := nd.startBy(a, e.point, ready)
			if t <= s {
				continue
			}
			s = t
		} else {
			if e.point == pointTail {
				ready = ready.Add(-nd.tail)
			}
			if ready <= instant {
				continue
			}
			instant = ready
		}
		why.Kind, why.Link, why.Activity, why.Ready = BoundLink, int(e.link), int(e.from), ready
		if e.point != pointStart && nd.work > 0 && s < a.Len() {
			why.Ready = a.start(s)
		}
	}
	d, err := n.place(a, i, s, instant)
	return d, why, err
}

// place gives activity i its dates from tick s, or as a milestone from an instant. They must lie on the axis with their tail, or what
// follows could not be told.
func (n *Network) place(a *Axis, i int32, s Ticks, instant Instant) (Dates, *HorizonError) {
	nd := &n.nodes[i]
	if nd.work > a.Len()-s || nd.work == 0 && instant > a.To() {
		return Dates{}, a.horizon(n.activities[i].Name)
	}
	d := nd.dates(a, s, instant)
	if d.TailEnd > a.To() {
		return Dates{}, a.horizon(n.activities[i].Name)
	}
	return d, nil
}

// last is the activity whose tail ends last, the later in order where several do (a closing milestone stands after the work it closes),
// and the end of that tail.
func (r *Analysis) last(n *Network) (last int, end Instant) {
	last, end = none, minInstant
	for _, i := range n.order {
		if r.early[i].TailEnd >= end {
			last, end = int(i), r.early[i].TailEnd
		}
	}
	return last, end
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

// backward finds the greatest dates that satisfy every link, deadline and fixed start and end by the finish.
func (r *Analysis) backward(n *Network, a *Axis, whole Instant, terminal int) {
	for i := range r.late {
		r.late[i].StartTick = unplaced
	}
	for k := len(n.rings) - 1; k >= 0; k-- {
		ring := n.rings[k]
		members := n.order[ring.from:ring.to]
		for moved := true; moved; {
			moved = false
			for m := len(members) - 1; m >= 0; m-- {
				i := members[m]
				end := min(r.limit(int(i), whole, terminal), n.nodes[i].deadline)
				d := r.latest(n, a, r.late, i, end)
				if ring.circular && d != r.late[i] {
					moved = true
				}
				r.late[i] = d
			}
		}
	}
}

// limit is when activity i's tail must have ended for the finish to stand.
func (r *Analysis) limit(i int, whole Instant, terminal int) Instant {
	if i == terminal {
		return r.Finish
	}
	return whole
}

// latest is the last place for activity i, its tail ending by end, that leaves the activities after it their dates. It doesn't go before
// the start of the axis.
func (r *Analysis) latest(n *Network, a *Axis, dates []Dates, i int32, end Instant) Dates {
	nd := &n.nodes[i]
	if nd.fixed != minInstant {
		return r.Activities[i].Early
	}
	s, instant := nd.startFor(a, pointTail, end), end.Add(-nd.tail)
	for _, k := range n.from(i) {
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

// settle puts the dates and floats of activity i into the result.
func (r *Analysis) settle(n *Network, a *Axis, i int32, whole Instant, terminal int) {
	t := &r.Activities[i]
	t.Late = r.late[i]
	t.TotalFloat = slack(a, &n.nodes[i], &t.Early, &t.Late)
	free := r.free(n, a, i, r.limit(int(i), whole, terminal))
	t.FreeFloat = max(0, min(t.TotalFloat, slack(a, &n.nodes[i], &t.Early, &free)))
}

// free is the last place for activity i, its tail ending by end, that leaves the early dates of all others. A maximum lag on its own work
// moves with it, and is repeated from above until it stands still.
func (r *Analysis) free(n *Network, a *Axis, i int32, end Instant) Dates {
	early := r.early[i]
	defer func() { r.early[i] = early }()
	r.early[i].StartTick = unplaced
	d := r.latest(n, a, r.early, i, end)
	for n.nodes[i].selfTied {
		r.early[i] = d
		next := r.latest(n, a, r.early, i, end)
		if next == d {
			break
		}
		d = next
	}
	return d
}

// slack is the number of working ticks from one place of an activity to a later one. A milestone's counts the whole ticks between its
// instants, of which there may be none though they differ.
func slack(a *Axis, nd *node, early, late *Dates) Ticks {
	if nd.work > 0 {
		return late.StartTick - early.StartTick
	}
	ticks := a.floor(late.Start) - a.ceil(early.Start)
	if late.Start >= early.Start {
		return max(0, ticks)
	}
	return ticks
}
