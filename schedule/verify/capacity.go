package verify

import (
	"cmp"
	"slices"

	"bentside/schedule"
)

// use is an interval in which some units of a station, or a place on the floor, are in use.
type use struct {
	from, to schedule.Instant
	quantity int
	state    int
	movable  int // the activity that planning could have moved; -1 if the use is a given fact
}

// uses lists the uses of each station.
func (v *verifier) uses() [][]use {
	uses := make([][]use, len(v.problem.Stations))
	for _, r := range v.problem.Reservations {
		uses[r.Station] = append(uses[r.Station],
			use{
				schedule.InstantBefore(r.From), schedule.InstantAfter(r.To), r.Quantity, r.State, -1,
			})
	}
	for i := range v.plan.Placements {
		activity, d := v.problem.Network.Activity(i), &v.plan.Placements[i]
		movable := i
		if !activity.FixedStart.IsZero() {
			movable = -1
		}
		for _, need := range activity.Needs {
			u := use{d.Start, d.Finish, need.Quantity, need.State, movable}
			switch need.Hold {
			case schedule.HoldWorking:
				uses[need.Station] = append(uses[need.Station],
					v.workedOnly(d.StartTick, d.FinishTick, u)...)
				continue
			case schedule.HoldThroughTail:
				u.to = d.TailEnd
			case schedule.HoldToFinish:
			}
			uses[need.Station] = append(uses[need.Station], u)
		}
	}
	return uses
}

// workedOnly splits a use into the intervals that are worked; ticks that follow each other without
// a break make one.
func (v *verifier) workedOnly(from, to schedule.Ticks, u use) []use {
	var list []use
	for t := from; t < to; t++ {
		start, _ := v.axis.StartOf(t)
		if k := len(list) - 1; k >= 0 && list[k].to == start {
			list[k].to += schedule.Instant(schedule.TickMinutes)
			continue
		}
		u.from, u.to = start, start+schedule.Instant(schedule.TickMinutes)
		list = append(list, u)
	}
	return list
}

// sweep goes through uses in order of time and calls visit with the sum in use at each instant
// where one begins.
func sweep(uses []use, visit func(at schedule.Instant, used int)) {
	type change struct {
		at schedule.Instant
		by int
	}
	changes := make([]change, 0, 2*len(uses))
	for _, u := range uses {
		if u.from < u.to {
			changes = append(changes, change{u.from, u.quantity}, change{u.to, -u.quantity})
		}
	}
	slices.SortFunc(changes, func(a, b change) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.by, b.by))
	})
	used := 0
	for k, c := range changes {
		used += c.by
		// What begins ends later, so that a change follows.
		if c.by > 0 && changes[k+1].at > c.at {
			visit(c.at, used)
		}
	}
}

// movableAt returns an activity in use at an instant that planning could have moved; -1 if there is
// none.
func movableAt(uses []use, at schedule.Instant) int {
	culprit := -1
	for _, u := range uses {
		if u.from <= at && at < u.to {
			culprit = max(culprit, u.movable)
		}
	}
	return culprit
}

func (v *verifier) capacity(s int, uses []use) {
	station := v.problem.Stations[s]
	sweep(uses, func(at schedule.Instant, used int) {
		if used <= station.Capacity {
			return
		}
		if culprit := movableAt(uses, at); culprit >= 0 {
			v.add(Capacity, "%s uses %s on %v, when %d of it are in use and there are %d",
				v.name(culprit), station.Name, at.UTC(), used, station.Capacity)
		}
	})
}

// clash compares every use of one station with every use of another.
func (v *verifier) clash(s int, uses []use, t int, others []use) {
	for _, u := range uses {
		for _, other := range others {
			culprit := max(u.movable, other.movable)
			if max(u.from, other.from) < min(u.to, other.to) && culprit >= 0 {
				v.add(Clash, "%s is at work while %s and %s are both in use on %v",
					v.name(culprit), v.problem.Stations[s].Name, v.problem.Stations[t].Name,
					max(u.from, other.from).UTC())
			}
		}
	}
}

// states compares every use of a station with every other: where one names a state, they overlap
// only in the same one.
func (v *verifier) states(s int, uses []use) {
	if !slices.ContainsFunc(uses, func(u use) bool { return u.state != 0 }) {
		return
	}
	for k, u := range uses {
		for _, other := range uses[:k] {
			culprit := max(u.movable, other.movable)
			if u.state != other.state && culprit >= 0 &&
				max(u.from, other.from) < min(u.to, other.to) {
				v.add(State, "%s is at work while %s is needed in the states %d and %d on %v",
					v.name(culprit), v.problem.Stations[s].Name, other.state, u.state,
					max(u.from, other.from).UTC())
			}
		}
	}
}

// floor counts the groups on the floor. A group that is present stands there from the data date on
// and is never at fault.
func (v *verifier) floor() {
	if v.problem.Floor == 0 {
		return
	}
	var uses []use
	for _, g := range v.problem.Groups {
		if len(g.Activities) > 0 {
			uses = append(uses, v.stay(&g))
		}
	}
	sweep(uses, func(at schedule.Instant, used int) {
		if used <= v.problem.Floor {
			return
		}
		if culprit := movableAt(uses, at); culprit >= 0 {
			v.add(Floor, "%s is on the floor on %v among %d groups, with room for %d",
				v.name(culprit), at.UTC(), used, v.problem.Floor)
		}
	})
}

// stay returns the use of the floor by one group: from its first start, or the data date if it is
// present, to its last end of a tail.
func (v *verifier) stay(g *schedule.Group) use {
	first := &v.plan.Placements[g.Activities[0]]
	u := use{first.Start, first.TailEnd, 1, 0, -1}
	present := g.Present
	for _, i := range g.Activities {
		d := &v.plan.Placements[i]
		u.from, u.to, u.movable = min(u.from, d.Start), max(u.to, d.TailEnd), max(u.movable, i)
		activity := v.problem.Network.Activity(i)
		present = present || !activity.FixedStart.IsZero() || activity.UnderWay
	}
	if present {
		u.from, u.movable = min(u.from, v.plan.DataDate), -1
	}
	return u
}
