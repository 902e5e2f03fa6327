package schedule

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Problem is what a plan is made for: work, time to do it in, what it needs, and what waiting costs.
type Problem struct {
	Network  *Network
	Axis     *Axis
	DataDate time.Time // nothing that isn't fixed starts before

	Stations     []Station
	Reservations []Reservation
	Clashes      []Clash

	Groups []Group // disjoint
	Floor  int     // how many groups may be on the floor at once; 0: any number

	Costs []Cost
	// FinishCost is for each elapsed day until the end of the last tail. Where neither it nor any Cost costs anything, the plan is made to
	// end early, and Plan.Cost is in minutes of it.
	FinishCost int64
}

// Station is a thing of limited number that activities occupy: places, or people who can do a thing. People are held while they work
// (HoldWorking). Where people share skills, one station for everybody and one for each set of skills keep any of them from being booked
// twice: demands can be met by a matching exactly when no set of skills is asked for more than the people who have one of them (Hall
// 1935; from memory).
type Station struct {
	Name     string
	Capacity int // units; at least 1
}

// Reservation is a claim on a station that the plan cannot move: another job's work, a service visit, a day out of use, leave. It holds
// [From, To) by the clock, and all that is reserved may exceed the capacity.
type Reservation struct {
	Name     string // whose it is
	Station  int
	Quantity int
	From, To time.Time
}

// Clash says that two stations are never in use at once, however much of each: dust in a room and open finish in it. Reservations count
// as use.
type Clash struct{ One, Other int }

// Group is activities that stand together on the floor, such as the work on one instrument. It takes one of Problem.Floor places from the
// start of its first activity to the end of its last tail.
type Group struct {
	Name       string
	Activities []int
	// Present groups are on the floor at the data date already, and keep their place even where there are more of them than places. A group
	// with a fixed start or work under way is present.
	Present bool
}

// Cost is what the time of an activity's end (of its tail) costs, in minor units of money per elapsed day; parts of a day count in
// proportion.
type Cost struct {
	Activity   int
	PerDay     int64     // from the data date to the end: capital tied up
	Due        time.Time // promised; zero: no promise
	LatePerDay int64     // from Due to the end
}

// maxRate bounds the sum of all costs per day, so that no cost overflows on the longest axis.
const maxRate = int64(1) << 36

// check refuses numbers that no plan can meet.
func (p *Problem) check() error {
	if p.Network == nil || p.Axis == nil {
		return &ValueError{"problem", "network and axis", "missing"}
	}
	if err := p.checkStations(); err != nil {
		return err
	}
	if err := p.checkNeeds(); err != nil {
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
			return &ValueError{"station " + s.Name, "capacity", "must be at least 1"}
		}
	}
	for _, r := range p.Reservations {
		if r.Station < 0 || r.Station >= len(p.Stations) {
			return &ValueError{"reservation " + r.Name, "station", fmt.Sprintf("there is no station %d", r.Station)}
		}
		if r.Quantity < 1 || r.Quantity > math.MaxInt16 || !r.To.After(r.From) {
			return &ValueError{"reservation " + r.Name, "extent", "wants a quantity of at least 1 and an end after its start"}
		}
	}
	for k, c := range p.Clashes {
		if min(c.One, c.Other) < 0 || max(c.One, c.Other) >= len(p.Stations) || c.One == c.Other {
			return &ValueError{fmt.Sprintf("clash %d", k), "stations", "wants two stations that there are"}
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
				return &ValueError{n.activities[i].Name, "needs", fmt.Sprintf("there is no station %d", d.Station)}
			}
			if s := p.Stations[d.Station]; d.Quantity > s.Capacity && n.nodes[i].fixed == minInstant || d.Quantity > math.MaxInt16 {
				return &ValueError{n.activities[i].Name, "needs", fmt.Sprintf("%d of %s, which has %d", d.Quantity, s.Name, s.Capacity)}
			}
		}
	}
	return nil
}

// checkClashes refuses an activity that would be in its own way.
func (p *Problem) checkClashes(a *Activity) error {
	needs := func(station int) bool {
		return slices.ContainsFunc(a.Needs, func(d Need) bool { return d.Station == station })
	}
	for _, c := range p.Clashes {
		if needs(c.One) && needs(c.Other) {
			return &ValueError{a.Name, "needs", fmt.Sprintf("%s and %s, which are never in use at once", p.Stations[c.One].Name, p.Stations[c.Other].Name)}
		}
	}
	return nil
}

func (p *Problem) checkGroups() error {
	if p.Floor < 0 {
		return &ValueError{"floor", "places", "negative"}
	}
	owner := make([]bool, p.Network.Len())
	for _, g := range p.Groups {
		for _, i := range g.Activities {
			if i < 0 || i >= len(owner) || owner[i] {
				return &ValueError{"group " + g.Name, "activities", fmt.Sprintf("no activity %d, or it is in two groups", i)}
			}
			owner[i] = true
		}
	}
	return nil
}

func (p *Problem) checkCosts() error {
	sum := p.FinishCost
	if p.FinishCost < 0 || p.FinishCost > maxRate {
		return &ValueError{"finish", "cost", fmt.Sprintf("must lie from 0 to %d a day", maxRate)}
	}
	for k, c := range p.Costs {
		if c.Activity < 0 || c.Activity >= p.Network.Len() {
			return &ValueError{fmt.Sprintf("cost %d", k), "activity", fmt.Sprintf("there is no activity %d", c.Activity)}
		}
		name := p.Network.activities[c.Activity].Name
		if c.PerDay < 0 || c.LatePerDay < 0 || c.PerDay > maxRate || c.LatePerDay > maxRate {
			return &ValueError{name, "cost", fmt.Sprintf("must lie from 0 to %d a day", maxRate)}
		}
		if sum += c.PerDay + c.LatePerDay; sum > maxRate {
			return &ValueError{name, "cost", fmt.Sprintf("brings all costs above %d a day", maxRate)}
		}
		if !c.Due.IsZero() && (c.Due.Year() < 1 || c.Due.Year() > 9999) {
			return &ValueError{name, "due", "outside the years 1 to 9999"}
		}
		if !c.Due.IsZero() && c.Due.Before(p.Axis.From().UTC().AddDate(-MaxSpanYears, 0, 0)) {
			return &ValueError{name, "due", fmt.Sprintf("more than %d years before the axis", MaxSpanYears)}
		}
	}
	return nil
}
