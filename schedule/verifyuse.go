package schedule

import (
	"cmp"
	"slices"
)

// claim is one stretch of use of a station.
type claim struct {
	from, to Instant
	quantity int
	movable  int // the activity, or -1 when nothing can be done about the claim
}

// claims are all claims on each station.
func (v *verifier) claims(n *Network) [][]claim {
	claims := make([][]claim, len(v.problem.Stations))
	for _, r := range v.problem.Reservations {
		claims[r.Station] = append(claims[r.Station], claim{InstantBefore(r.From), InstantAfter(r.To), r.Quantity, -1})
	}
	for i := range v.plan.Placements {
		activity, d := n.Activity(i), &v.plan.Placements[i]
		movable := i
		if !activity.FixedStart.IsZero() {
			movable = -1
		}
		for _, need := range activity.Needs {
			c := claim{d.Start, d.Finish, need.Quantity, movable}
			switch need.Hold {
			case HoldWorking:
				claims[need.Station] = append(claims[need.Station], v.working(d.StartTick, d.FinishTick, c)...)
				continue
			case HoldThroughTail:
				c.to = d.TailEnd
			case HoldToFinish:
			}
			claims[need.Station] = append(claims[need.Station], c)
		}
	}
	return claims
}

// working are the claims of the ticks worked, those that meet made one.
func (v *verifier) working(from, to Ticks, like claim) []claim {
	var list []claim
	for t := from; t < to; t++ {
		start, _ := v.axis.StartOf(t)
		if k := len(list) - 1; k >= 0 && list[k].to == start {
			list[k].to += Instant(TickMinutes)
			continue
		}
		like.from, like.to = start, start+Instant(TickMinutes)
		list = append(list, like)
	}
	return list
}

// sweep goes through claims by time and tells, wherever one begins, how much is claimed then.
func sweep(claims []claim, tell func(at Instant, used int)) {
	type change struct {
		at Instant
		by int
	}
	changes := make([]change, 0, 2*len(claims))
	for _, c := range claims {
		if c.from < c.to {
			changes = append(changes, change{c.from, c.quantity}, change{c.to, -c.quantity})
		}
	}
	slices.SortFunc(changes, func(a, b change) int { return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.by, b.by)) })
	used := 0
	for k, c := range changes {
		used += c.by
		if c.by > 0 && (k+1 == len(changes) || changes[k+1].at > c.at) {
			tell(c.at, used)
		}
	}
}

// movableAt is an activity that could have waited among the claims that hold at an instant; -1 when there is none.
func movableAt(claims []claim, at Instant) int {
	culprit := -1
	for _, c := range claims {
		if c.from <= at && at < c.to {
			culprit = max(culprit, c.movable)
		}
	}
	return culprit
}

func (v *verifier) station(s int, claims []claim) {
	station := v.problem.Stations[s]
	sweep(claims, func(at Instant, used int) {
		if used <= station.Capacity {
			return
		}
		if culprit := movableAt(claims, at); culprit >= 0 {
			v.add(ViolationCapacity, culprit, -1, s, "%s holds %d of %d on %v", station.Name, used, station.Capacity, at.UTC())
		}
	})
}

// clash looks at every pair of claims on two stations.
func (v *verifier) clash(s int, claims []claim, t int, others []claim) {
	for _, c := range claims {
		for _, other := range others {
			culprit := max(c.movable, other.movable)
			if max(c.from, other.from) < min(c.to, other.to) && culprit >= 0 {
				v.add(ViolationClash, culprit, -1, s, "%s and %s are in use at once on %v",
					v.problem.Stations[s].Name, v.problem.Stations[t].Name, max(c.from, other.from).UTC())
			}
		}
	}
}

// floor counts the groups on it. A group that is present stands there from the data date on; it is no fault of the plan.
func (v *verifier) floor() {
	if v.problem.Floor == 0 {
		return
	}
	var claims []claim
	for _, g := range v.problem.Groups {
		c := claim{quantity: 1, movable: -1}
		present := g.Present
		for k, i := range g.Activities {
			d := &v.plan.Placements[i]
			if k == 0 {
				c.from, c.to = d.Start, d.TailEnd
			}
			c.from, c.to = min(c.from, d.Start), max(c.to, d.TailEnd)
			activity := v.problem.Network.Activity(i)
			present = present || !activity.FixedStart.IsZero() || activity.UnderWay
			c.movable = max(c.movable, i)
		}
		if present {
			c.from, c.movable = min(c.from, v.plan.DataDate), -1
		}
		if len(g.Activities) > 0 {
			claims = append(claims, c)
		}
	}
	sweep(claims, func(at Instant, used int) {
		if used <= v.problem.Floor {
			return
		}
		if culprit := movableAt(claims, at); culprit >= 0 {
			v.add(ViolationFloor, culprit, -1, -1, "%d groups on a floor for %d on %v", used, v.problem.Floor, at.UTC())
		}
	})
}

// cost adds up what the ends cost.
func (v *verifier) cost() {
	p, plan := v.problem, v.plan
	sum, rates := int64(0), p.FinishCost
	for _, c := range p.Costs {
		end := plan.Placements[c.Activity].TailEnd
		sum += c.PerDay * max(0, int64(end-plan.DataDate))
		rates += c.PerDay
		if due := InstantBefore(c.Due); !c.Due.IsZero() {
			rates += c.LatePerDay
			sum += c.LatePerDay * max(0, int64(end-due))
		}
	}
	last := plan.DataDate
	for _, at := range plan.Placements {
		last = max(last, at.TailEnd)
	}
	if last != plan.Finish {
		v.add(ViolationCost, -1, -1, -1, "the plan ends on %v, its last tail on %v", plan.Finish.UTC(), last.UTC())
	}
	each := p.FinishCost
	if rates == 0 {
		each = 24 * 60
	}
	sum += each * int64(last-plan.DataDate)
	want := sum / (24 * 60)
	if rest := sum % (24 * 60); 2*rest >= 24*60 {
		want++
	}
	if plan.Cost != want || plan.Lower > plan.Cost || plan.Proven != (plan.Lower == plan.Cost) {
		v.add(ViolationCost, -1, -1, -1, "the plan says it costs %d, at least %d, proven: %v; it costs %d", plan.Cost, plan.Lower, plan.Proven, want)
	}
}
