package schedule

import "slices"

// decoder places activities one after another, each at the first time that links, release, stations, clashes and floor allow, and never
// moves one again: serial generation (Kelley 1963), or, ordered by the start that each could have, parallel generation (both as in Kolisch
// 1996). Once it has served a network of that size it allocates nothing.
type decoder struct {
	*model
	dates    []Dates
	heldBack []Instant // per activity, not before: what maximum lags forbid, found by placing
	waiting  []int32   // per activity, minimum links whose start isn't placed yet
	free     []profile
	heap     entries
	deferred []int32 // activities of groups that there is no place for yet
	placed   int

	open  int       // groups on the floor that aren't placed whole
	left  []int32   // per group, activities not placed
	on    []bool    // per group, whether it has a place
	since []Instant // per group, from when
	until []Instant // per group, the last end so far
	ends  []Instant // of groups placed whole, the latest first

	tried, limit int64 // start assignments; none beyond the limit
	rank         []int32
	parallel     bool
	broken       *edge

	keys   sorter
	order  []int32 // of justify
	pushed []Dates // of justify: where things were
}

// stop is why placing ends without a plan.
type stop uint8

const (
	stopNothing stop = iota
	stopLag          // a maximum lag is broken: begin again
	stopLate         // a maximum lag from a fixed start is broken
	stopLimit        // no more assignments
	stopHorizon      // an activity falls off the axis
	stopFloor        // what is on the floor waits for what can't get on it
)

func newDecoder(m *model) *decoder {
	n := m.network.Len()
	return &decoder{
		model: m, dates: make([]Dates, n), heldBack: make([]Instant, n), waiting: make([]int32, n),
		free: make([]profile, len(m.free)), left: make([]int32, len(m.members)), on: make([]bool, len(m.members)),
		since: make([]Instant, len(m.members)), until: make([]Instant, len(m.members)), limit: never,
	}
}

// maxRestarts bounds how often placing begins again because a maximum lag couldn't be kept.
const maxRestarts = 1000

// decode places everything by rank, lowest first. Where a station delays an activity past a maximum lag, the activity it must follow is
// held back by as much and everything is placed again.
func (d *decoder) decode(rank []int32, parallel bool) error {
	d.rank, d.parallel = rank, parallel
	for i := range d.heldBack {
		d.heldBack[i] = d.path.DataDate
		if why := &d.path.Activities[i].Bound; why.Kind == BoundLink && d.network.links[why.Link].AtMost {
			d.heldBack[i] = d.path.Activities[i].Early.Start
		}
	}
	n, restarts := d.network, 1
	for ; restarts <= maxRestarts; restarts++ {
		why, at, err := d.run()
		if why == stopLate {
			break
		}
		switch why { //nolint:exhaustive // what is left begins again
		case stopNothing:
			return nil
		case stopHorizon:
			return err
		case stopLimit:
			return errLimit
		case stopFloor:
			return &AdmissionError{Group: d.problem.Groups[d.groupOf[at]].Name, Activity: d.network.activities[at].Name, Floor: d.problem.Floor}
		}
	}
	return &RestartError{n.activities[d.broken.to].Name, n.activities[d.broken.from].Name, min(restarts, maxRestarts)}
}

// run places everything once.
func (d *decoder) run() (why stop, at int32, err *HorizonError) {
	n := d.network
	d.reset()
	for i := range n.nodes {
		if n.nodes[i].fixed == minInstant {
			continue
		}
		if d.tried >= d.limit {
			return stopLimit, index32(i), nil
		}
		if err := d.put(index32(i)); err != nil {
			return stopHorizon, index32(i), err
		}
	}
	for i := range n.nodes {
		if d.waiting[i] == 0 && n.nodes[i].fixed == minInstant {
			d.heap.push(d.entry(index32(i)))
		}
	}
	for len(d.heap) > 0 {
		e := d.heap.pop()
		i := e.activity
		if !d.admissible(i) {
			d.deferred = append(d.deferred, i)
			continue
		}
		if d.tried >= d.limit {
			return stopLimit, i, nil
		}
		start, err := d.find(i)
		if err != nil {
			return stopHorizon, i, err
		}
		if d.parallel && start.Start > e.key && len(d.heap) > 0 && !n.nodes[i].underWay {
			e.key = start.Start
			if d.heap[0].before(&e) {
				d.heap.push(e)
				continue
			}
		}
		d.settle(i, &start)
		if why, err := d.breaks(i); why != stopNothing {
			return why, i, err
		}
		d.release(i)
	}
	if d.placed < n.Len() && len(d.deferred) > 0 {
		return stopFloor, d.deferred[0], nil
	}
	return stopNothing, none, nil
}

// reset takes everything off.
func (d *decoder) reset() {
	n := d.network
	d.vacate()
	d.unplace()
	clear(d.waiting)
	for k := range n.edges {
		if e := &n.edges[k]; !e.atMost && n.nodes[e.from].fixed == minInstant {
			d.waiting[e.to]++
		}
	}
	d.heap, d.deferred, d.ends, d.placed, d.open = d.heap[:0], d.deferred[:0], d.ends[:0], 0, 0
	copy(d.left, d.members)
	for g := range d.on {
		d.on[g], d.since[g], d.until[g] = d.present[g], d.path.DataDate, d.path.DataDate
		if d.present[g] && d.members[g] > 0 {
			d.open++
		}
	}
}

// vacate takes everything off the stations but what is reserved.
func (d *decoder) vacate() {
	for s := range d.free {
		d.free[s].become(&d.model.free[s])
	}
}

// unplace forgets all dates.
func (d *decoder) unplace() {
	for i := range d.dates {
		d.dates[i].StartTick = unplaced
	}
}

// entry puts what is under way before all else.
func (d *decoder) entry(i int32) entry {
	if d.network.nodes[i].underWay {
		return entry{minInstant - 1, d.rank[i], i}
	}
	return entry{minInstant, d.rank[i], i}
}

// release lets the successors of i be placed that waited for nothing else.
func (d *decoder) release(i int32) {
	n := d.network
	for _, k := range n.from(i) {
		e := &n.edges[k]
		if e.atMost {
			continue
		}
		if d.waiting[e.to]--; d.waiting[e.to] == 0 && n.nodes[e.to].fixed == minInstant {
			d.heap.push(d.entry(e.to))
		}
	}
}

// put places a fixed activity at its start, whatever is taken then.
func (d *decoder) put(i int32) *HorizonError {
	at, _, err := d.network.earliest(d.axis, d.dates, i, d.heldBack[i])
	d.tried++
	if err == nil {
		d.settle(i, &at)
	}
	return err
}

// find is the first place for activity i that everything allows.
func (d *decoder) find(i int32) (Dates, *HorizonError) {
	d.tried++
	n := d.network
	at, _, err := n.earliest(d.axis, d.dates, i, max(d.heldBack[i], d.admitted(i)))
	for err == nil {
		s, instant, busy := d.busy(i, &at)
		if !busy {
			break
		}
		at, err = n.place(d.axis, i, s, instant)
	}
	return at, err
}

// busy reports whether a station has no room for activity i at the dates at, and when the first lack ends.
func (d *decoder) busy(i int32, at *Dates) (Ticks, Instant, bool) {
	wants := d.of(i)
	for k := range wants {
		w := &wants[k]
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.stretch(w, at, next)
			if from >= to {
				continue
			}
			if until, lacks := d.free[w.station].lacking(from, to, w.quantity); lacks {
				s, instant := d.instantOf(w.station, until)
				return s, instant, true
			}
		}
	}
	return 0, 0, false
}

// settle enters activity i at the dates at.
func (d *decoder) settle(i int32, at *Dates) {
	d.hold(i, at, 1)
	d.dates[i] = *at
	d.placed++
	if g := d.groupOf[i]; g >= 0 {
		d.seat(g, at)
	}
}

// hold takes what activity i holds at the dates at so many times; -1 gives it back.
func (d *decoder) hold(i int32, at *Dates, times int32) {
	wants := d.of(i)
	for k := range wants {
		w := &wants[k]
		if w.probe {
			continue
		}
		for next := at.StartTick; next >= 0; {
			var from, to int64
			from, to, next = d.stretch(w, at, next)
			d.free[w.station].take(from, to, times*w.quantity)
		}
	}
}

// breaks finds a maximum lag that the placing of i broke, and holds back the activity it counts from to where the lag is kept. One that
// counts from a fixed start can't be held back.
func (d *decoder) breaks(i int32) (stop, *HorizonError) {
	n := d.network
	for _, k := range n.from(i) {
		e := &n.edges[k]
		if !e.atMost || d.dates[e.to].StartTick == unplaced {
			continue
		}
		if n.nodes[e.to].fixed != minInstant {
			if e.ready(d.axis, &d.dates[i]) > d.dates[e.to].at(e.point) {
				d.broken = e
				return stopLate, nil
			}
			continue
		}
		needed, _, err := n.earliest(d.axis, d.dates, e.to, d.heldBack[e.to])
		if err != nil {
			return stopHorizon, err
		}
		if needed.Start > d.dates[e.to].Start {
			d.heldBack[e.to], d.broken = needed.Start, e
			return stopLag, nil
		}
	}
	return stopNothing, nil
}

// finish is the end of the last tail.
func (d *decoder) finish() Instant {
	finish := d.path.DataDate
	for i := range d.dates {
		finish = max(finish, d.dates[i].TailEnd)
	}
	return finish
}

// score is what the dates cost; of equal costs the plan with its work nearer to the beginning is the better.
func (d *decoder) score() score {
	s := score{cost: d.worth(func(i int32) Instant { return d.dates[i].TailEnd }, d.finish())}
	for i := range d.dates {
		s.starts += int64(d.dates[i].Start - d.path.DataDate)
	}
	return s
}

// grown makes room for n values.
func grown[E any](s []E, n int) []E { return slices.Grow(s[:0], n)[:n] }
