// Package verify decides whether a finished plan is feasible: every link kept, no release date
// violated, no resource overbooked at any tick.
//
//	if err := verify.Plan(problem, starts); err != nil { … }
//
// It shares no code with the solver on purpose, reads the problem as given and not as compiled, and
// checks capacity by another method: it walks the ticks at which anything starts, ends or changes,
// with plain sums. A plan that the solver believes in and this package refuses is a defect of one
// of them, and never reaches a customer.
//
// It does not decide how good a plan is.
package verify

import (
	"fmt"
	"sort"

	"bentside/schedule/rcpsp"
)

// LinkError names two activities whose starts violate their link.
type LinkError struct {
	From, To         string
	Lag              int
	FromStart, Start int
}

func (e *LinkError) Error() string {
	return fmt.Sprintf("%s starts at %d, but must be at least %d after the start of %s at %d", e.To,
		e.Start, e.Lag, e.From, e.FromStart)
}

// CapacityError names a tick at which a resource is overbooked.
type CapacityError struct {
	Resource, Tick, Used, Has int
}

func (e *CapacityError) Error() string {
	return fmt.Sprintf("resource %d: %d units used at tick %d where there are %d", e.Resource+1,
		e.Used, e.Tick, e.Has)
}

// StartError names an activity whose start is negative or before its release date.
type StartError struct {
	Activity       string
	Start, Release int
}

func (e *StartError) Error() string {
	return fmt.Sprintf("%s starts at %d, released at %d", e.Activity, e.Start, e.Release)
}

// Plan returns nil if starts is a feasible plan of p, otherwise the first violation found.
func Plan(p *rcpsp.Problem, starts []int) error {
	if len(starts) != len(p.Activities) {
		return fmt.Errorf("%d starts for %d activities", len(starts), len(p.Activities))
	}
	for i, a := range p.Activities {
		if starts[i] < 0 || starts[i] < a.Release {
			return &StartError{Activity: name(p, i), Start: starts[i], Release: a.Release}
		}
	}
	for _, l := range p.Links {
		if starts[l.To]-starts[l.From] < l.Lag {
			return &LinkError{
				From: name(p, l.From), To: name(p, l.To), Lag: l.Lag, FromStart: starts[l.From],
				Start: starts[l.To],
			}
		}
	}
	for r := range p.Capacities {
		if err := resource(p, r, starts); err != nil {
			return err
		}
	}
	return nil
}

type change struct{ tick, units int }

func resource(p *rcpsp.Problem, r int, starts []int) error {
	var changes []change
	for i, a := range p.Activities {
		if a.Duration > 0 && a.Demand[r] > 0 {
			changes = append(changes, change{starts[i], a.Demand[r]},
				change{starts[i] + a.Duration, -a.Demand[r]})
		}
	}
	for _, s := range p.Capacities[r] {
		changes = append(changes, change{s.From, 0})
	}
	sort.Slice(changes, func(i, j int) bool { return changes[i].tick < changes[j].tick })
	used := 0
	for k, c := range changes {
		used += c.units
		if k+1 < len(changes) && changes[k+1].tick == c.tick {
			continue
		}
		if has := available(p.Capacities[r], c.tick); used > has {
			return &CapacityError{Resource: r, Tick: c.tick, Used: used, Has: has}
		}
	}
	return nil
}

func available(c rcpsp.Capacity, tick int) int {
	has := 0
	for _, s := range c {
		if s.From <= tick {
			has = s.Units
		}
	}
	return has
}

func name(p *rcpsp.Problem, i int) string {
	if n := p.Activities[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("activity %d", i)
}
