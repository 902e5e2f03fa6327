package schedule

import "slices"

// decoder schedules activities one after another, each at the earliest time that links, release
// dates, stations, clashes and floor allow, and never moves one again. It follows a list (serial
// generation, Kelley 1963) or takes the activity that can start first (parallel generation); both
// as in Kolisch 1996. Once it has served a network of that size it allocates nothing.
type decoder struct {
	*model
	dates        []Dates
	notBefore    []Instant // per activity, the start that maximum lags have delayed it to
	predecessors []int32   // per activity, predecessors not yet scheduled
	profiles     []profile
	eligible     entries
	deferred     []int32 // eligible activities whose groups can't enter the floor yet
	placed       int

	unfinished int       // groups on the floor that aren't scheduled completely
	remaining  []int32   // per group, activities not yet scheduled
	onFloor    []bool    // per group
	entered    []Instant // per group, when it entered the floor
	lastEnd    []Instant // per group, its last end of a tail so far
	ends       []Instant // of completely scheduled groups, the latest first

	assignments, limit int64 // start assignments made, and how many may be
	rank               []int32
	parallel           bool
	violated           *edge

	keys      sorter
	order     []int32 // of justify
	unshifted []Dates // of justify: the dates before the shift
}

// outcome says how generating a schedule ended.
type outcome uint8

const (
	complete         outcome = iota
	lagViolated              // a maximum lag is violated: start again
	fixedLagViolated         // a maximum lag from a fixed start is violated
	limitReached             // no start assignments left
	offAxis                  // an activity falls off the axis
	floorLocked              // work on the floor waits for work that can't enter it
)

func newDecoder(m *model) *decoder {
	n := m.network.Len()
	return &decoder{
		model: m, dates: make([]Dates, n), notBefore: make([]Instant, n),
		predecessors: make([]int32, n),
		profiles:     make([]profile, len(m.profiles)), remaining: make([]int32, len(m.members)),
		onFloor: make([]bool, len(m.members)),
		entered: make([]Instant, len(m.members)), lastEnd: make([]Instant, len(m.members)),
		limit: never,
	}
}

// maxRestarts bounds how often generation starts again because a maximum lag was violated.
const maxRestarts = 1000

// decode schedules everything by rank, lowest first. If a station delays an activity past a maximum
// lag, the activity it must follow is delayed by as much and generation starts again.
func (d *decoder) decode(rank []int32, parallel bool) error {
	d.rank, d.parallel = rank, parallel
	for i := range d.notBefore {
		d.notBefore[i] = d.path.DataDate
		if why := &d.path.Activities[i].Driver; why.Kind == DriverLink &&
			d.network.links[why.Link].AtMost {
			d.notBefore[i] = d.path.Activities[i].Early.Start
		}
	}
	n, restarts := d.network, 1
	for ; restarts <= maxRestarts; restarts++ {
		why, at, err := d.run()
		if why == fixedLagViolated {
			break
		}
		switch why { //nolint:exhaustive // the other outcomes start again
		case complete:
			return nil
		case offAxis:
			return err
		case limitReached:
			return errLimit
		case floorLocked:
			return &AdmissionError{
				Group:    d.problem.Groups[d.groupOf[at]].Name,
				Activity: d.network.activities[at].Name, Floor: d.problem.Floor,
			}
		}
	}
	return &RestartError{
		n.activities[d.violated.to].Name, n.activities[d.violated.from].Name,
		min(restarts, maxRestarts),
	}
}

// run generates one schedule.
func (d *decoder) run() (why outcome, at int32, err *HorizonError) {
	n := d.network
	d.reset()
	for i := range n.nodes {
		if n.nodes[i].fixed == minInstant {
			continue
		}
		if d.assignments >= d.limit {
			return limitReached, index32(i), nil
		}
		if err := d.placeFixed(index32(i)); err != nil {
			return offAxis, index32(i), err
		}
	}
	for i := range n.nodes {
		if d.predecessors[i] == 0 && n.nodes[i].fixed == minInstant {
			d.eligible.push(d.entry(index32(i)))
		}
	}
	for len(d.eligible) > 0 {
		e := d.eligible.pop()
		i := e.activity
		if !d.mayEnterFloor(i) {
			d.deferred = append(d.deferred, i)
			continue
		}
		if d.assignments >= d.limit {
			return limitReached, i, nil
		}
		start, err := d.earliestFeasible(i)
		if err != nil {
			return offAxis, i, err
		}
		if d.parallel && start.Start > e.key && len(d.eligible) > 0 && !n.nodes[i].underWay {
			e.key = start.Start
			if d.eligible[0].before(&e) {
				d.eligible.push(e)
				continue
			}
		}
		d.assign(i, &start)
		if why, err := d.checkMaxLags(i); why != complete {
			return why, i, err
		}
		d.makeEligible(i)
	}
	if d.placed < n.Len() && len(d.deferred) > 0 {
		return floorLocked, d.deferred[0], nil
	}
	return complete, none, nil
}

// reset removes all activities from the schedule.
func (d *decoder) reset() {
	n := d.network
	d.clearProfiles()
	d.clearDates()
	clear(d.predecessors)
	for k := range n.edges {
		if e := &n.edges[k]; !e.atMost && n.nodes[e.from].fixed == minInstant {
			d.predecessors[e.to]++
		}
	}
	d.eligible, d.deferred, d.ends, d.placed, d.unfinished = d.eligible[:0], d.deferred[:0],
		d.ends[:0], 0, 0
	copy(d.remaining, d.members)
	for g := range d.onFloor {
		d.onFloor[g], d.entered[g], d.lastEnd[g] = d.present[g], d.path.DataDate, d.path.DataDate
		if d.present[g] && d.members[g] > 0 {
			d.unfinished++
		}
	}
}

// clearProfiles frees the stations of everything except reservations.
func (d *decoder) clearProfiles() {
	for s := range d.profiles {
		d.profiles[s].copyFrom(&d.model.profiles[s])
	}
}

// clearDates marks all activities as unplaced.
func (d *decoder) clearDates() {
	for i := range d.dates {
		d.dates[i].StartTick = unplaced
	}
}

// entry returns the heap entry of activity i; work under way precedes everything else.
func (d *decoder) entry(i int32) entry {
	if d.network.nodes[i].underWay {
		return entry{minInstant - 1, d.rank[i], i}
	}
	return entry{minInstant, d.rank[i], i}
}

// makeEligible adds the successors of i whose predecessors are all scheduled to the heap.
func (d *decoder) makeEligible(i int32) {
	n := d.network
	for _, k := range n.outgoing(i) {
		e := &n.edges[k]
		if e.atMost {
			continue
		}
		if d.predecessors[e.to]--; d.predecessors[e.to] == 0 && n.nodes[e.to].fixed == minInstant {
			d.eligible.push(d.entry(e.to))
		}
	}
}

// placeFixed schedules a fixed activity at its start, whatever is in use then.
func (d *decoder) placeFixed(i int32) *HorizonError {
	at, _, err := d.network.earliest(d.axis, d.dates, i, d.notBefore[i])
	d.assignments++
	if err == nil {
		d.assign(i, &at)
	}
	return err
}

// earliestFeasible returns the earliest dates of activity i that links, floor and stations allow.
func (d *decoder) earliestFeasible(i int32) (Dates, *HorizonError) {
	d.assignments++
	n := d.network
	at, _, err := n.earliest(d.axis, d.dates, i, max(d.notBefore[i], d.floorFrom(i)))
	for err == nil {
		s, instant, busy := d.shortage(i, &at)
		if !busy {
			break
		}
		at, err = n.placeActivity(d.axis, i, s, instant)
	}
	return at, err
}

// shortage reports whether a station short room for activity i at the dates at, and when the first
// shortage ends.
func (d *decoder) shortage(i int32, at *Dates) (Ticks, Instant, bool) {
	demands := d.demandsOf(i)
	for k := range demands {
		w := &demands[k]
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.held(w, at, next)
			if from >= to {
				continue
			}
			if until, short := d.profiles[w.station].shortageIn(from, to, w.quantity,
				w.state); short {
				s, instant := d.fromUnit(w.station, until)
				return s, instant, true
			}
		}
	}
	return 0, 0, false
}

// assign schedules activity i at the dates at.
func (d *decoder) assign(i int32, at *Dates) {
	d.hold(i, at, 1)
	d.dates[i] = *at
	d.placed++
	if g := d.groupOf[i]; g >= 0 {
		d.enterFloor(g, at)
	}
}

// hold reserves activity i's demands at the given dates, times over; times = -1 releases them.
func (d *decoder) hold(i int32, at *Dates, times int32) {
	demands := d.demandsOf(i)
	for k := range demands {
		w := &demands[k]
		if w.exclusive {
			continue
		}
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.held(w, at, next)
			d.profiles[w.station].take(from, to, times*w.quantity, w.state)
		}
	}
}

// checkMaxLags looks for a maximum lag that scheduling i has violated, and delays the activity it
// counts from to where the lag is kept. If that activity's start is fixed, it can't be delayed.
func (d *decoder) checkMaxLags(i int32) (outcome, *HorizonError) {
	n := d.network
	for _, k := range n.outgoing(i) {
		e := &n.edges[k]
		if !e.atMost || d.dates[e.to].StartTick == unplaced {
			continue
		}
		if n.nodes[e.to].fixed != minInstant {
			if e.ready(d.axis, &d.dates[i]) > d.dates[e.to].at(e.point) {
				d.violated = e
				return fixedLagViolated, nil
			}
			continue
		}
		needed, _, err := n.earliest(d.axis, d.dates, e.to, d.notBefore[e.to])
		if err != nil {
			return offAxis, err
		}
		if needed.Start > d.dates[e.to].Start {
			d.notBefore[e.to], d.violated = needed.Start, e
			return lagViolated, nil
		}
	}
	return complete, nil
}

// finish returns the end of the last tail.
func (d *decoder) finish() Instant {
	finish := d.path.DataDate
	for i := range d.dates {
		finish = max(finish, d.dates[i].TailEnd)
	}
	return finish
}

// score returns the cost of the dates; of two plans with equal costs, the one whose work lies
// earlier is the better.
func (d *decoder) score() score {
	s := score{cost: d.totalCost(func(i int32) Instant { return d.dates[i].TailEnd }, d.finish())}
	for i := range d.dates {
		s.starts += int64(d.dates[i].Start - d.path.DataDate)
	}
	return s
}

// resized returns s with length n and undefined contents.
func resized[E any](s []E, n int) []E { return slices.Grow(s[:0], n)[:n] }
