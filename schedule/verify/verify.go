package verify

import (
	"fmt"
	"sort"

	"bentside/schedule"
)

// Violation is one rule that a plan breaks.
type Violation struct {
	Kind   Kind
	Detail string // names what is at fault: the activity, the link or the station
}

// Kind names the rule that is broken.
type Kind uint8

// The rules that Plan checks.
const (
	Shape Kind = iota // as many placements as activities
	// ticks and instants agree with work, tail and axis, and end by the plan's finish
	Dates
	DataDate   // nothing free starts before the data date, which is that of the problem
	Release    // nothing starts before its release date
	Deadline   // every tail ends by its deadline
	FixedStart // a fixed activity starts when it must
	Link       // every link is kept
	Capacity   // no station is used beyond its capacity
	Clash      // two stations that exclude each other are not used at once
	State      // no station is needed in two states at once
	Floor      // no more groups on the floor than it has places
	Cost       // finish, cost, bound and proof are as stated
)

// String names the rule in a word or two.
func (k Kind) String() string {
	return [...]string{
		"shape", "dates", "data date", "release", "deadline", "fixed start", "link", "capacity",
		"clash", "state", "floor", "cost",
	}[k]
}

// Plan returns every rule of the problem that the plan breaks; none if the plan is feasible.
//
// It accepts what no plan could avoid: reservations, fixed starts and groups present from the
// beginning that exceed a capacity among themselves, and links into a fixed start or into work
// under way. A maximum lag to a fixed start can be kept by the activity it counts from, so it is
// checked unless that activity is fixed or under way too.
func Plan(p *schedule.Problem, plan *schedule.Plan) []Violation {
	n := p.Network
	if len(plan.Placements) != n.Len() {
		return []Violation{
			{Shape, fmt.Sprintf("%d placements for %d activities", len(plan.Placements), n.Len())},
		}
	}
	v := &verifier{problem: p, axis: p.Axis, plan: plan}
	if first, ok := v.axis.StartOf(v.ticksBefore(schedule.InstantAfter(p.DataDate))); !ok ||
		first != plan.DataDate {
		v.add(DataDate, "the plan counts from %v, not from the first tick from %v on",
			plan.DataDate.UTC(), p.DataDate.UTC())
	}
	for i := range plan.Placements {
		activity := n.Activity(i)
		v.dates(i, &activity)
		v.window(i, &activity)
	}
	for k := range n.Links() {
		v.link(k)
	}
	uses := v.uses()
	for s := range p.Stations {
		v.capacity(s, uses[s])
		v.states(s, uses[s])
	}
	for _, c := range p.Clashes {
		v.clash(c.One, uses[c.One], c.Other, uses[c.Other])
	}
	v.floor()
	v.cost()
	return v.found
}

type verifier struct {
	problem *schedule.Problem
	axis    *schedule.Axis
	plan    *schedule.Plan
	found   []Violation
}

func (v *verifier) add(kind Kind, format string, args ...any) {
	v.found = append(v.found, Violation{kind, fmt.Sprintf(format, args...)})
}

// name returns the name of an activity.
func (v *verifier) name(activity int) string {
	a := v.problem.Network.Activity(activity)
	return a.Name
}

func (v *verifier) dates(i int, activity *schedule.Activity) {
	d := &v.plan.Placements[i]
	wrong := func(what string, got, want any) {
		v.add(Dates, "%s: %s is %v, want %v", activity.Name, what, got, want)
	}
	if d.FinishTick != d.StartTick+activity.Work {
		wrong("finish tick", d.FinishTick, d.StartTick+activity.Work)
	}
	if want := d.Finish + schedule.Instant(activity.Tail); d.TailEnd != want {
		wrong("end of tail", d.TailEnd, want)
	}
	if activity.Work == 0 {
		if d.Finish != d.Start {
			wrong("finish of a milestone", d.Finish, d.Start)
		}
		if want := v.ticksBefore(d.Start); d.StartTick != want {
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

func (v *verifier) window(i int, activity *schedule.Activity) {
	d := &v.plan.Placements[i]
	if d.TailEnd > v.plan.Finish {
		v.add(Dates, "%s ends after the plan", activity.Name)
	}
	if !activity.Deadline.IsZero() && d.TailEnd.UTC().After(activity.Deadline) {
		v.add(Deadline, "%s ends %v, after its deadline %v", activity.Name,
			d.TailEnd.UTC(), activity.Deadline)
	}
	if fixed := activity.FixedStart; !fixed.IsZero() {
		early := d.Start.UTC().Before(fixed)
		late := activity.Work == 0 && !d.Start.Add(-1).UTC().Before(fixed)
		if activity.Work > 0 && d.StartTick > 0 {
			previous, _ := v.axis.StartOf(d.StartTick - 1)
			late = !previous.UTC().Before(fixed)
		}
		if early || late {
			v.add(FixedStart, "%s starts %v, not at the first tick from %v on",
				activity.Name, d.Start.UTC(), fixed)
		}
		return
	}
	if d.Start < v.plan.DataDate {
		v.add(DataDate, "%s starts before the data date", activity.Name)
	}
	if d.Start.UTC().Before(activity.Release) {
		v.add(Release, "%s starts %v, before its release date %v", activity.Name,
			d.Start.UTC(), activity.Release)
	}
}

// ticksBefore returns how many ticks start before an instant.
func (v *verifier) ticksBefore(i schedule.Instant) schedule.Ticks {
	return schedule.Ticks(sort.Search(int(v.axis.Len()), func(t int) bool {
		start, _ := v.axis.StartOf(schedule.Ticks(t))
		return start >= i
	}))
}
