package rcpsp

import (
	"errors"
	"fmt"
	"strings"
)

// Limits keep arithmetic inside 32 bits and a hostile file from asking for gigabytes. They are far
// above any published instance; MaxTicks is a century of quarter hours.
const (
	MaxActivities = 1 << 20
	MaxTicks      = 1 << 22
	MaxResources  = 1 << 10
	MaxUnits      = 1 << 20
)

// cellsMax bounds ticks × machine words per tick: 64 MiB for each copy.
const cellsMax = 1 << 23

// Activity is work of fixed duration that occupies its demand from start to finish.
type Activity struct {
	Name     string
	Duration int   // ticks, ≥ 0
	Demand   []int // units per resource, parallel to Problem.Capacities
	Release  int   // earliest start in ticks, ≥ 0
}

// Link requires start(To) ≥ start(From) + Lag, in ticks. A finish-to-start link has Lag = the
// predecessor's duration. A negative Lag is a maximum lag: From may start at most -Lag ticks after
// To.
type Link struct {
	From, To int
	Lag      int
}

// Step is the number of units available from tick From on, until the next step.
type Step struct {
	From, Units int
}

// Capacity is a step function over ticks: the first step starts at 0, the last one lasts for ever.
type Capacity []Step

// max returns the largest number of units ever available.
func (c Capacity) max() int {
	most := 0
	for _, s := range c {
		most = max(most, s.Units)
	}
	return most
}

// sustains reports whether units are available throughout some interval of ticks.
func (c Capacity) sustains(units, ticks int) bool {
	since := -1
	for k, s := range c {
		if s.Units < units {
			since = -1
			continue
		}
		if since < 0 {
			since = s.From
		}
		if k+1 == len(c) || c[k+1].From-since >= ticks {
			return true
		}
	}
	return false
}

// Constant returns a capacity that never changes.
func Constant(units int) Capacity { return Capacity{{0, units}} }

// Problem is a single-mode scheduling problem: when does each activity start, so that the last one
// finishes as early as possible? The solver only reads it.
type Problem struct {
	Name       string
	Activities []Activity
	Links      []Link
	Capacities []Capacity
}

// Makespan returns the last finish of a plan, 0 for an empty one.
func (p *Problem) Makespan(starts []int) int {
	last := 0
	for i, s := range starts {
		last = max(last, s+p.Activities[i].Duration)
	}
	return last
}

// CycleError names activities that wait for each other; the first is repeated at the end. Lag is
// how far each would have to start after itself.
type CycleError struct {
	Path []string
	Lag  int
}

func (e *CycleError) Error() string {
	return fmt.Sprintf("contradictory links: %s starts %d ticks after itself",
		strings.Join(e.Path, " → "), e.Lag)
}

// DemandError names an activity whose demand exceeds a capacity at all times: Has is the most units
// of the resource (counted from 0) ever available. If Has ≥ Need, that many are never available for
// as long as the activity lasts.
type DemandError struct {
	Activity  string
	Resource  int
	Need, Has int
	Ticks     int
}

func (e *DemandError) Error() string {
	return fmt.Sprintf("activity %s needs %d of resource %d for %d ticks; "+
		"it never has more than %d, or not for so long", e.Activity, e.Need, e.Resource+1, e.Ticks,
		e.Has)
}

// HorizonError reports a plan that might run past Limit ticks: MaxTicks, or less if there are many
// resources.
type HorizonError struct{ Ticks, Limit int }

func (e *HorizonError) Error() string {
	return fmt.Sprintf("the plan may need %d ticks, more than the %d supported", e.Ticks, e.Limit)
}

// ErrInput marks a problem whose numbers make no sense; the text says which.
var ErrInput = errors.New("bad scheduling input")

func badInput(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrInput, fmt.Sprintf(format, args...))
}

// validate checks shapes and ranges, so that everything after it can index and add without looking.
func (p *Problem) validate() error {
	if len(p.Activities) > MaxActivities {
		return badInput("at most %d activities are supported, not %d", MaxActivities,
			len(p.Activities))
	}
	if len(p.Capacities) > MaxResources {
		return badInput("at most %d resources are supported, not %d", MaxResources,
			len(p.Capacities))
	}
	if err := p.validateCapacities(); err != nil {
		return err
	}
	for i := range p.Activities {
		if err := p.validateActivity(i); err != nil {
			return err
		}
	}
	for _, l := range p.Links {
		if l.From < 0 || l.To < 0 || l.From >= len(p.Activities) || l.To >= len(p.Activities) {
			return badInput("link %d → %d must join two of the activities", l.From, l.To)
		}
		if l.Lag < -MaxTicks || l.Lag > MaxTicks {
			return badInput("lag of link %s → %s must be from -%d to %d, not %d", p.label(l.From),
				p.label(l.To), MaxTicks, MaxTicks, l.Lag)
		}
		if l.From == l.To && l.Lag > 0 {
			return &CycleError{Path: []string{p.label(l.From), p.label(l.To)}, Lag: l.Lag}
		}
	}
	return nil
}

func (p *Problem) validateCapacities() error {
	for r, c := range p.Capacities {
		if len(c) == 0 || c[0].From != 0 {
			return badInput("capacity of resource %d must start at tick 0", r+1)
		}
		for k, s := range c {
			if s.Units < 0 || s.Units > MaxUnits {
				return badInput("resource %d must have 0 to %d units, not %d", r+1, MaxUnits,
					s.Units)
			}
			if s.From > MaxTicks || k > 0 && s.From <= c[k-1].From {
				return badInput("capacity steps of resource %d must come in order, the last by tick %d; "+
					"one is at %d", r+1, MaxTicks, s.From)
			}
		}
	}
	return nil
}

func (p *Problem) validateActivity(i int) error {
	a := &p.Activities[i]
	if a.Duration < 0 || a.Duration > MaxTicks || a.Release < 0 || a.Release > MaxTicks {
		return badInput("duration and release date of activity %s must be from 0 to %d, "+
			"not %d and %d", p.label(i), MaxTicks, a.Duration, a.Release)
	}
	if len(a.Demand) != len(p.Capacities) {
		return badInput("activity %s must have a demand for each of %d resources, not %d",
			p.label(i), len(p.Capacities), len(a.Demand))
	}
	for r, need := range a.Demand {
		if need < 0 {
			return badInput("demand of activity %s for resource %d must not be negative: %d",
				p.label(i),
				r+1, need)
		}
		if a.Duration == 0 {
			continue
		}
		if c := p.Capacities[r]; !c.sustains(need, a.Duration) {
			return &DemandError{
				Activity: p.label(i), Resource: r, Need: need, Has: c.max(), Ticks: a.Duration,
			}
		}
	}
	return nil
}

func (p *Problem) label(i int) string {
	if n := p.Activities[i].Name; n != "" {
		return n
	}
	return fmt.Sprintf("#%d", i)
}
