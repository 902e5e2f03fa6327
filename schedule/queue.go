package schedule

import (
	"container/heap"
	"fmt"
	"slices"
	"time"
)

// Station is a thing of limited number that activities occupy.
type Station struct {
	Name     string
	Capacity int // units; at least 1
}

// Reservation is a claim on a station that the plan cannot move: another job's work, a service visit. It holds [From, To) by the clock.
type Reservation struct {
	Name     string // whose it is
	Station  int
	Quantity int
	From, To time.Time
}

// QueuePlan is a feasible date for each activity, first come, first served. It is not optimised, knows no people, and moves nothing that
// it has once placed to make room for something more urgent.
type QueuePlan struct {
	Placements   []Placement // at the network's positions
	Stations     []Station
	Reservations []Reservation
	DataDate     Instant // as rounded up to the first working tick
	Finish       Instant // end of the last tail
}

// Placement is one activity's dates in a QueuePlan and the reason for its start.
type Placement struct {
	Dates
	Bound Bound
}

// maxRestarts bounds how often Queue begins again because a station made an activity miss its maximum lag.
const maxRestarts = 1000

// Queue places each activity in turn at the first time that its links, its release date and the stations allow, and never moves it again:
// the serial method of list scheduling (Kelley 1963). Among activities whose predecessors are placed, the lowest Order goes first, then the
// earliest late finish on the critical path, then the position. Fixed starts are placed before all others and, like reservations, keep
// their stations even beyond capacity; everything else waits for room. Deadlines don't hold work back: Verify tells which are missed.
//
// When stations delay an activity past a maximum lag, the activity it must follow is held back by as much and everything is placed again.
//
// It returns *ValueError for stations, reservations or needs that can't be, *HorizonError when an activity finds no place on the axis, and
// *RestartError when the maximum lags found none after many attempts.
func Queue(n *Network, a *Axis, dataDate time.Time, stations []Station, reservations []Reservation) (*QueuePlan, error) {
	if err := checkStations(n, stations, reservations); err != nil {
		return nil, err
	}
	path, err := CriticalPath(n, a, dataDate)
	if err != nil {
		return nil, err
	}
	q := &queue{
		network: n, axis: a, path: path,
		plan: &QueuePlan{
			Placements: make([]Placement, n.Len()), Stations: slices.Clone(stations), Reservations: slices.Clone(reservations),
			DataDate: path.DataDate, Finish: path.DataDate,
		},
		dates:    make([]Dates, n.Len()),
		heldBack: make([]Bound, n.Len()),
		waiting:  make([]int32, n.Len()),
	}
	for i := range q.heldBack {
		q.heldBack[i].Ready = path.DataDate
		if why := path.Activities[i].Bound; why.Kind == BoundLink && n.links[why.Link].AtMost {
			why.Ready = path.Activities[i].Early.Start
			q.heldBack[i] = why
		}
	}
	for range maxRestarts {
		broken, err := q.run()
		if err != nil {
			return nil, err
		}
		if broken == nil {
			return q.plan, nil
		}
		q.restart = broken
	}
	return nil, &RestartError{n.activities[q.restart.to].Name, n.activities[q.restart.from].Name, maxRestarts}
}

// checkStations refuses numbers that no plan can meet.
func checkStations(n *Network, stations []Station, reservations []Reservation) error {
	for _, s := range stations {
		if s.Capacity < 1 {
			return &ValueError{"station " + s.Name, "capacity", "must be at least 1"}
		}
	}
	for _, r := range reservations {
		if r.Station < 0 || r.Station >= len(stations) {
			return &ValueError{"reservation " + r.Name, "station", fmt.Sprintf("there is no station %d", r.Station)}
		}
		if r.Quantity < 1 || !r.To.After(r.From) {
			return &ValueError{"reservation " + r.Name, "extent", "wants a quantity of at least 1 and an end after its start"}
		}
	}
	for i := range n.activities {
		for _, d := range n.activities[i].Needs {
			if d.Station >= len(stations) {
				return &ValueError{n.activities[i].Name, "needs", fmt.Sprintf("there is no station %d", d.Station)}
			}
			if s := stations[d.Station]; d.Quantity > s.Capacity && n.nodes[i].fixed == minInstant {
				return &ValueError{n.activities[i].Name, "needs", fmt.Sprintf("%d of %s, which has %d", d.Quantity, s.Name, s.Capacity)}
			}
		}
	}
	return nil
}

// queue is one construction of a plan.
type queue struct {
	network  *Network
	axis     *Axis
	path     *Analysis
	plan     *QueuePlan
	dates    []Dates
	heldBack []Bound // per activity, the maximum lag that forbids a start before Ready; else Ready is the data date
	waiting  []int32 // per activity, minimum links whose start isn't placed yet
	ready    readyList
	desks    []desk // per station
	restart  *edge
}

// run places everything once. It returns the maximum lag that the stations broke, having held back the activity it follows; nil when none.
func (q *queue) run() (*edge, error) {
	n := q.network
	q.open()
	for i := range n.nodes {
		if n.nodes[i].fixed == minInstant {
			continue
		}
		if err := q.put(index32(i)); err != nil {
			return nil, err
		}
	}
	for i := range n.nodes {
		if q.waiting[i] == 0 && n.nodes[i].fixed == minInstant {
			q.admit(index32(i))
		}
	}
	for q.ready.Len() > 0 {
		i := heap.Pop(&q.ready).(candidate).activity
		if err := q.put(i); err != nil {
			return nil, err
		}
		if broken, err := q.brokenBy(i); broken != nil || err != nil {
			return broken, err
		}
		q.release(i)
	}
	return nil, nil
}

// open clears the plan and puts the reservations in.
func (q *queue) open() {
	n := q.network
	q.desks = make([]desk, len(q.plan.Stations))
	for i := range q.desks {
		q.desks[i].capacity = q.plan.Stations[i].Capacity
	}
	for k, r := range q.plan.Reservations {
		q.desks[r.Station].hold(holding{InstantBefore(r.From), InstantAfter(r.To), r.Quantity, none, k})
	}
	for i := range q.dates {
		q.dates[i].StartTick = unplaced
	}
	clear(q.waiting)
	for i := range n.edges {
		if e := &n.edges[i]; !e.atMost && n.nodes[e.from].fixed == minInstant {
			q.waiting[e.to]++
		}
	}
	q.ready = q.ready[:0]
	q.plan.Finish = q.plan.DataDate
}

// admit puts an activity on the list of those that may be placed next.
func (q *queue) admit(i int32) {
	heap.Push(&q.ready, candidate{q.network.activities[i].Order, q.path.Activities[i].Late.TailEnd, i})
}

// release admits the successors of i that waited for nothing else.
func (q *queue) release(i int32) {
	n := q.network
	for _, k := range n.from(i) {
		e := &n.edges[k]
		if e.atMost {
			continue
		}
		if q.waiting[e.to]--; q.waiting[e.to] == 0 && n.nodes[e.to].fixed == minInstant {
			q.admit(e.to)
		}
	}
}

// put places activity i at the first time its links and the stations allow.
func (q *queue) put(i int32) error {
	n, a := q.network, q.axis
	nd := &n.nodes[i]
	d, why, err := n.earliest(a, q.dates, i, q.heldBack[i].Ready)
	if why.Kind == BoundDataDate && q.heldBack[i].Kind == BoundLink {
		why = q.heldBack[i]
	}
	for err == nil && nd.fixed == minInstant {
		until, station, busy := q.busy(i, &d)
		if !busy {
			break
		}
		d, err = n.place(a, i, a.ceil(until), until)
		holder := q.desks[station].holder(until)
		why = Bound{BoundStation, none, holder.activity, station, holder.reservation, until}
	}
	if err != nil {
		return err
	}
	for _, need := range n.activities[i].Needs {
		for from, to := range q.stretches(need.Hold, &d) {
			q.desks[need.Station].hold(holding{from, to, need.Quantity, int(i), none})
		}
	}
	q.dates[i] = d
	q.plan.Placements[i] = Placement{d, why}
	q.plan.Finish = max(q.plan.Finish, d.TailEnd)
	return nil
}

// busy reports the first station that has no room for activity i at the dates d, and when it next has some at the point where it lacks it.
func (q *queue) busy(i int32, d *Dates) (until Instant, station int, busy bool) {
	for _, need := range q.network.activities[i].Needs {
		for from, to := range q.stretches(need.Hold, d) {
			if until, busy = q.desks[need.Station].full(from, to, need.Quantity); busy {
				return until, need.Station, true
			}
		}
	}
	return 0, none, false
}

// stretches are the spans [from, to) of elapsed time during which a need holds its station.
func (q *queue) stretches(hold Hold, d *Dates) func(yield func(from, to Instant) bool) {
	return func(yield func(from, to Instant) bool) {
		switch hold {
		case HoldToFinish:
			yield(d.Start, d.Finish)
		case HoldThroughTail:
			yield(d.Start, d.TailEnd)
		case HoldWorking:
			for at := d.StartTick; at < d.FinishTick; {
				from := q.axis.start(at)
				to := from
				for ; at < d.FinishTick && q.axis.start(at) == to; at++ {
					to = to.Add(TickMinutes)
				}
				if !yield(from, to) {
					return
				}
			}
		}
	}
}

// brokenBy finds a maximum lag that the placing of i broke, and holds back the activity it counts from to where the lag is kept.
func (q *queue) brokenBy(i int32) (*edge, error) {
	n, a := q.network, q.axis
	for _, k := range n.from(i) {
		e := &n.edges[k]
		if !e.atMost || q.dates[e.to].StartTick == unplaced || n.nodes[e.to].fixed != minInstant {
			continue
		}
		needed, _, err := n.earliest(a, q.dates, e.to, q.heldBack[e.to].Ready)
		if err != nil {
			return nil, err
		}
		if needed.Start > q.dates[e.to].Start {
			q.heldBack[e.to] = Bound{BoundLink, int(e.link), int(i), none, none, needed.Start}
			return e, nil
		}
	}
	return nil, nil
}
