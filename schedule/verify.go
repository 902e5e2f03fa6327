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
	ViolationDataDate                      // starts before the data date, or the plan has another
	ViolationRelease                       // starts before its release
	ViolationDeadline                      // its tail ends after its deadline
	ViolationFixed                         // doesn't start at its fixed start
	ViolationLink                          // a link is not kept
	ViolationCapacity                      // a station holds more than it has, an activity that could have waited among it
	ViolationClash                         // two stations that may not be used at once are, by an activity that could have waited among others
	ViolationFloor                         // more groups are on the floor than it has places, one that could have waited among them
	ViolationCost                          // the plan ends or costs something else than it says, or less than it says is possible
)

// String names the rule in a word or two.
func (k ViolationKind) String() string {
	return [...]string{"shape", "dates", "data date", "release", "deadline", "fixed start", "link", "capacity", "clash", "floor", "cost"}[k]
}

// Verify checks a plan against its problem and returns every broken rule, none when the plan is sound. It works from the links, needs,
// groups and costs as they were given, by counting ticks and minutes between dates, and shares no code with planning or CriticalPath.
// Where only fixed starts, reservations and groups that were present from the beginning meet beyond a capacity, or a link leads to a fixed
// start or to work under way, it says nothing: these are facts that no plan could avoid. A maximum lag to a fixed start is avoidable by what
// it counts from, unless that is fixed or under way too.
func Verify(p *Problem, plan *Plan) []Violation {
	n := p.Network
	if len(plan.Placements) != n.Len() {
		return []Violation{{ViolationShape, -1, -1, -1, fmt.Sprintf("%d placements for %d activities", len(plan.Placements), n.Len())}}
	}
	v := &verifier{problem: p, axis: p.Axis, plan: plan}
	if first, ok := v.axis.StartOf(v.before(InstantAfter(p.DataDate))); !ok || first != plan.DataDate {
		v.add(ViolationDataDate, -1, -1, -1, "the plan counts from %v, not from the first chance from %v", plan.DataDate.UTC(), p.DataDate.UTC())
	}
	for i := range plan.Placements {
		activity := n.Activity(i)
		v.dates(i, &activity)
		v.window(i, &activity)
	}
	for k := range n.Links() {
		v.link(n, k)
	}
	claims := v.claims(n)
	for s := range p.Stations {
		v.station(s, claims[s])
	}
	for _, c := range p.Clashes {
		v.clash(c.One, claims[c.One], c.Other, claims[c.Other])
	}
	v.floor()
	v.cost()
	return v.found
}

type verifier struct {
	problem *Problem
	axis    *Axis
	plan    *Plan
	found   []Violation
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
	if a, b := n.Activity(from), n.Activity(to); !b.FixedStart.IsZero() && (!l.AtMost || !a.FixedStart.IsZero() || a.UnderWay) || b.UnderWay && !l.AtMost {
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
