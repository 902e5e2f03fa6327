package schedule

import (
	"fmt"
	"sort"
)

// Violation is one broken rule in a plan.
type Violation struct {
	Kind     ViolationKind
	Activity int    // the offending activity, -1 when none
	Link     int    // -1 when none
	Station  int    // -1 when none
	Detail   string // in words
}

// ViolationKind names the rule.
type ViolationKind uint8

// The rules that Verify checks.
const (
	ViolationShape    ViolationKind = iota // a placement is missing or too many
	ViolationDates                         // ticks and instants don't agree with the work, the tail or the axis
	ViolationDataDate                      // starts before the data date
	ViolationRelease                       // starts before its release
	ViolationDeadline                      // its tail ends after its deadline
	ViolationFixed                         // doesn't start at its fixed start
	ViolationLink                          // a link is not kept
	ViolationCapacity                      // a station holds more than it has, an activity that could have waited among it
)

// String names the rule in a word or two.
func (k ViolationKind) String() string {
	return [...]string{"shape", "dates", "data date", "release", "deadline", "fixed start", "link", "capacity"}[k]
}

// Verify checks a plan against the network and the axis and returns every broken rule, none when the plan is sound. It works from the
// links and needs as they were given, by counting ticks and minutes between dates, and shares no code with Queue or CriticalPath. Where
// only fixed starts and reservations meet beyond a station's capacity it says nothing: these are facts that no plan could avoid.
func Verify(n *Network, a *Axis, p *QueuePlan) []Violation {
	if len(p.Placements) != n.Len() {
		return []Violation{{ViolationShape, -1, -1, -1, fmt.Sprintf("%d placements for %d activities", len(p.Placements), n.Len())}}
	}
	v := &verifier{axis: a, plan: p}
	for i := range p.Placements {
		activity := n.Activity(i)
		v.dates(i, &activity)
		v.window(i, &activity)
	}
	for k := range n.Links() {
		v.link(n, k)
	}
	for s := range p.Stations {
		v.station(n, s)
	}
	return v.found
}

type verifier struct {
	axis  *Axis
	plan  *QueuePlan
	found []Violation
}

func (v *verifier) add(kind ViolationKind, activity, link, station int, format string, args ...any) {
	v.found = append(v.found, Violation{kind, activity, link, station, fmt.Sprintf(format, args...)})
}

func (v *verifier) dates(i int, activity *Activity) {
	d := &v.plan.Placements[i]
	wrong := func(what string, got, want any) {
		v.add(ViolationDates, i, -1, -1, "%s: %s is %v, want %v", activity.Name, what, got, want)
	}
	if d.FinishTick != d.StartTick+activity.Work {
		wrong("finish tick", d.FinishTick, d.StartTick+activity.Work)
	}
	if want := d.Finish + Instant(activity.Tail); d.TailEnd != want {
		wrong("end of tail", d.TailEnd, want)
	}
	if activity.Work == 0 {
		if d.Finish != d.Start {
			wrong("finish of a milestone", d.Finish, d.Start)
		}
		if want := v.before(d.Start); d.StartTick != want {
			wrong("tick", d.StartTick, want)
		}
		return
	}
	if start, ok := v.axis.StartOf(d.StartTick); !ok || start != d.Start {
		wrong("start", d.Start, start)
	}
	if end, ok := v.axis.EndOf(d.FinishTick - 1); !ok || end != d.Finish {
		wrong("finish", d.Finish, end)
	}
}

func (v *verifier) window(i int, activity *Activity) {
	d := &v.plan.Placements[i]
	if d.TailEnd > v.plan.Finish {
		v.add(ViolationDates, i, -1, -1, "%s ends after the plan", activity.Name)
	}
	if !activity.Deadline.IsZero() && d.TailEnd.UTC().After(activity.Deadline) {
		v.add(ViolationDeadline, i, -1, -1, "%s ends %v, after its deadline %v", activity.Name, d.TailEnd.UTC(), activity.Deadline)
	}
	if fixed := activity.FixedStart; !fixed.IsZero() {
		early := d.Start.UTC().Before(fixed)
		late := activity.Work == 0 && !d.Start.Add(-1).UTC().Before(fixed)
		if activity.Work > 0 && d.StartTick > 0 {
			previous, _ := v.axis.StartOf(d.StartTick - 1)
			late = !previous.UTC().Before(fixed)
		}
		if early || late {
			v.add(ViolationFixed, i, -1, -1, "%s starts %v, not at the first chance from %v", activity.Name, d.Start.UTC(), fixed)
		}
		return
	}
	if d.Start < v.plan.DataDate {
		v.add(ViolationDataDate, i, -1, -1, "%s starts before the data date", activity.Name)
	}
	if d.Start.UTC().Before(activity.Release) {
		v.add(ViolationRelease, i, -1, -1, "%s starts %v, before its release %v", activity.Name, d.Start.UTC(), activity.Release)
	}
}

func (v *verifier) link(n *Network, k int) {
	l := n.Link(k)
	from, okFrom := n.Index(l.From)
	to, okTo := n.Index(l.To)
	if !okFrom || !okTo {
		v.add(ViolationShape, -1, k, -1, "link %d has no ends", k)
		return
	}
	a, b := &v.plan.Placements[from].Dates, &v.plan.Placements[to].Dates
	x, y := a.Start, b.Start
	switch {
	case l.Kind == StartToStart || l.Kind == StartToFinish:
	case l.FromEnd == EndTail, l.FromEnd == EndDefault && l.Lag == Lag{}:
		x = a.TailEnd
	default:
		x = a.Finish
	}
	if l.Kind == FinishToFinish || l.Kind == StartToFinish {
		y = b.Finish
		if l.ToEnd == EndTail {
			y = b.TailEnd
		}
	}
	lag := l.Lag.amount
	var kept bool
	switch {
	case l.Lag.kind != lagWorking && !l.AtMost:
		kept = int64(y-x) >= lag
	case l.Lag.kind != lagWorking:
		kept = int64(y-x) <= lag
	case l.AtMost:
		kept = int64(v.before(y)-v.before(x)) <= lag
	case lag == 0:
		kept = y >= x
	default:
		kept = int64(v.before(y)-v.before(x)) >= lag
	}
	if !kept {
		v.add(ViolationLink, to, k, -1, "%s does not keep its link from %s: %v, then %v", l.To, l.From, x.UTC(), y.UTC())
	}
}

// before counts the ticks that start before an instant.
func (v *verifier) before(i Instant) Ticks {
	return Ticks(sort.Search(int(v.axis.Len()), func(t int) bool {
		start, _ := v.axis.StartOf(Ticks(t))
		return start >= i
	}))
}

// claim is one stretch of use of a station.
type claim struct {
	from, to Instant
	quantity int
	movable  int // the activity, or -1 when nothing can be done about the claim
}

// station adds up, at each instant at which a claim begins, all claims that cover it.
func (v *verifier) station(n *Network, s int) {
	claims := v.claims(n, s)
	capacity := v.plan.Stations[s].Capacity
	for _, c := range claims {
		used, culprit := 0, -1
		for _, other := range claims {
			if other.from <= c.from && c.from < other.to {
				used += other.quantity
				culprit = max(culprit, other.movable)
			}
		}
		if used > capacity && culprit >= 0 {
			v.add(ViolationCapacity, culprit, -1, s, "%s holds %d of %d on %v", v.plan.Stations[s].Name, used, capacity, c.from.UTC())
		}
	}
}

func (v *verifier) claims(n *Network, s int) []claim {
	var claims []claim
	for _, r := range v.plan.Reservations {
		if r.Station == s {
			claims = append(claims, claim{InstantBefore(r.From), InstantAfter(r.To), r.Quantity, -1})
		}
	}
	for i := range v.plan.Placements {
		activity, d := n.Activity(i), &v.plan.Placements[i]
		movable := i
		if !activity.FixedStart.IsZero() {
			movable = -1
		}
		for _, need := range activity.Needs {
			if need.Station != s {
				continue
			}
			switch need.Hold {
			case HoldWorking:
				for t := d.StartTick; t < d.FinishTick; t++ {
					start, _ := v.axis.StartOf(t)
					claims = append(claims, claim{start, start + Instant(TickMinutes), need.Quantity, movable})
				}
			case HoldToFinish:
				claims = append(claims, claim{d.Start, d.Finish, need.Quantity, movable})
			case HoldThroughTail:
				claims = append(claims, claim{d.Start, d.TailEnd, need.Quantity, movable})
			}
		}
	}
	return claims
}
