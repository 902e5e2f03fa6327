package schedule

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Problem is what a plan is made for: work, working time, what the work needs, and what waiting
// costs.
type Problem struct {
	Network  *Network
	Axis     *Axis
	DataDate time.Time // nothing that isn't fixed starts before

	Stations     []Station
	Reservations []Reservation
	Clashes      []Clash

	Groups []Group // disjoint
	Floor  int     // places for groups at once; 0 = any number

	Costs []Cost
	// FinishCost is the cost of each elapsed day until the end of the last tail. If neither it nor
	// any Cost is positive, the plan is made to end early, and Plan.Cost is its length in minutes.
	FinishCost int64
}

// Station is a resource of limited number that activities occupy: places, or people with a skill.
// People are occupied while they work (HoldWorking). Where people share skills, one station for
// everybody and one for each set of skills keep anyone from being booked twice: demands can be met
// by a matching exactly if no set of skills is asked for more often than there are people with one
// of them (Hall 1935; from memory).
type Station struct {
	Name     string
	Capacity int // units; at least 1
}

// Reservation occupies a station by the clock over [From, To), and the plan can't move it: another
// job's work, a service visit, a day out of use, leave. Reservations together may exceed the
// capacity.
type Reservation struct {
	Name     string // who holds it
	Station  int
	Quantity int
	State    int // like Need.State
	From, To time.Time
}

// Clash excludes two stations from being in use at once, however much of each: dust in a room, and
// open finish in it. Reservations count as use.
type Clash struct{ One, Other int }

// Group is activities that stand on the floor together, such as the work on one instrument. It
// takes one of Problem.Floor places from the start of its first activity to the end of its last
// tail.
type Group struct {
	Name       string
	Activities []int
	// Present groups are on the floor at the data date already and keep their places even if there
	// are more of them than places. A group with a fixed start or work under way is present.
	Present bool
}

// Cost is the cost of an activity's end (of its tail), in minor units of money per elapsed day;
// parts of a day count in proportion.
type Cost struct {
	Activity   int
	PerDay     int64     // from the data date to the end: capital tied up
	Due        time.Time // due date promised; zero = none
	LatePerDay int64     // from Due to the end: tardiness
}

// maxRate bounds the sum of all costs per day, so that no cost overflows on the longest axis.
const maxRate = int64(1) << 36

// check refuses values that no plan can meet.
func (p *Problem) check() error {
	if p.Network == nil || p.Axis == nil {
		return refuse("problem", "network and axis", "must be given")
	}
	if err := p.checkStations(); err != nil {
		return err
	}
	if err := p.checkNeeds(); err != nil {
		return err
	}
	if err := p.checkStates(); err != nil {
		return err
	}
	if err := p.checkGroups(); err != nil {
		return err
	}
	return p.checkCosts()
}

func (p *Problem) checkStations() error {
	for _, s := range p.Stations {
		if s.Capacity < 1 || s.Capacity > math.MaxInt32/2 {
			return refuse("station "+s.Name, "capacity", "must be at least 1")
		}
	}
	for _, r := range p.Reservations {
		if r.Station < 0 || r.Station >= len(p.Stations) {
			return refuse("reservation "+r.Name, "station", "must be one of the problem, not %d",
				r.Station)
		}
		if r.Quantity < 1 || r.Quantity > math.MaxInt16 || !r.To.After(r.From) {
			return refuse("reservation "+r.Name, "extent",
				"must have a quantity of at least 1 and end after its start")
		}
	}
	for k, c := range p.Clashes {
		if min(c.One, c.Other) < 0 || max(c.One, c.Other) >= len(p.Stations) || c.One == c.Other {
			return refuse(fmt.Sprintf("clash %d", k), "stations",
				"must be two different ones of the problem")
		}
	}
	return nil
}

func (p *Problem) checkNeeds() error {
	n := p.Network
	for i := range n.activities {
		if err := p.checkClashes(&n.activities[i]); err != nil {
			return err
		}
		for _, d := range n.activities[i].Needs {
			if d.Station >= len(p.Stations) {
				return refuse(n.activities[i].Name, "needs",
					"must be stations of the problem, not %d", d.Station)
			}
			if s := p.Stations[d.Station]; d.Quantity > s.Capacity &&
				n.nodes[i].fixed == minInstant || d.Quantity > math.MaxInt16 {
				return refuse(n.activities[i].Name, "needs",
					"must not exceed the capacity: %d of %s, which has %d", d.Quantity, s.Name,
					s.Capacity)
			}
		}
	}
	return nil
}

// checkClashes refuses an activity that needs both stations of a clash.
func (p *Problem) checkClashes(a *Activity) error {
	needs := func(station int) bool {
		return slices.ContainsFunc(a.Needs, func(d Need) bool { return d.Station == station })
	}
	for _, c := range p.Clashes {
		if needs(c.One) && needs(c.Other) {
			return refuse(a.Name, "needs",
				"must not include both %s and %s, which exclude each other", p.Stations[c.One].Name,
				p.Stations[c.Other].Name)
		}
	}
	return nil
}

func (p *Problem) checkGroups() error {
	if p.Floor < 0 {
		return refuse("floor", "places", "must not be negative")
	}
	owner := make([]bool, p.Network.Len())
	for _, g := range p.Groups {
		for _, i := range g.Activities {
			if i < 0 || i >= len(owner) || owner[i] {
				return refuse("group "+g.Name, "activities",
					"must each be in the network and in one group, not %d", i)
			}
			owner[i] = true
		}
	}
	return nil
}

func (p *Problem) checkCosts() error {
	sum := p.FinishCost
	if p.FinishCost < 0 || p.FinishCost > maxRate {
		return refuse("finish", "cost", "must be from 0 to %d a day", maxRate)
	}
	for k, c := range p.Costs {
		if c.Activity < 0 || c.Activity >= p.Network.Len() {
			return refuse(fmt.Sprintf("cost %d", k), "activity", "must be in the network, not %d",
				c.Activity)
		}
		name := p.Network.activities[c.Activity].Name
		if c.PerDay < 0 || c.LatePerDay < 0 || c.PerDay > maxRate || c.LatePerDay > maxRate {
			return refuse(name, "cost", "must be from 0 to %d a day", maxRate)
		}
		if sum += c.PerDay + c.LatePerDay; sum > maxRate {
			return refuse(name, "cost", "must not bring the sum of all costs above %d a day",
				maxRate)
		}
		if !c.Due.IsZero() && (c.Due.Year() < 1 || c.Due.Year() > 9999) {
			return refuse(name, "due", "must be within the years 1 to 9999")
		}
		if !c.Due.IsZero() && c.Due.Before(p.Axis.From().UTC().AddDate(-MaxSpanYears, 0, 0)) {
			return refuse(name, "due", "must be at most %d years before the axis", MaxSpanYears)
		}
	}
	return nil
}
