package domain

import (
	"fmt"
	"slices"
	"time"

	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// criticalPath dates the network as if every place were free.
func (n *Network) criticalPath(axis *schedule.Axis, at time.Time) (Timeline, error) {
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return Timeline{}, fmt.Errorf("link the work: %w", err)
	}
	r, err := schedule.CriticalPathTo(net, axis, at, n.ready(""))
	if err != nil {
		return Timeline{}, err
	}
	t := Timeline{Ready: axis.Time(r.Finish)}
	for i, x := range r.Activities {
		s := n.step(axis, i, x.Early)
		late := axis.Time(x.Late.Start)
		total, free := hoursIn(x.TotalFloat), hoursIn(x.FreeFloat)
		s.LateStart, s.TotalFloat, s.FreeFloat = &late, &total, &free
		t.Steps = append(t.Steps, s)
	}
	for _, i := range r.Path {
		t.Path = append(t.Path, n.pathStep(axis, i, r.Activities[i].Early, r.Activities[i].Bound))
	}
	return t, nil
}

// queue dates the network one instrument at a time at each place.
func (n *Network) queue(axis *schedule.Axis, at time.Time) (*schedule.QueuePlan, error) {
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return nil, fmt.Errorf("link the work: %w", err)
	}
	return schedule.Queue(net, axis, at, n.Stations, n.Reservations)
}

// timeline reads the dates of one instrument off a plan.
func (n *Network) timeline(axis *schedule.Axis, q *schedule.QueuePlan, instrument string) Timeline {
	t := Timeline{Ready: axis.Time(q.DataDate)}
	last := n.ready(instrument)
	for i, p := range q.Placements {
		if n.of[i].instrument != instrument {
			continue
		}
		t.Steps = append(t.Steps, n.step(axis, i, p.Dates))
		if last == schedule.NoTerminal {
			t.Ready = later(t.Ready, axis.Time(p.TailEnd))
		}
	}
	if last != schedule.NoTerminal {
		t.Ready = axis.Time(q.Placements[last].TailEnd)
	}
	for i := last; i >= 0; i = q.Placements[i].Bound.Activity {
		t.Path = append(t.Path, n.pathStep(axis, i, q.Placements[i].Dates, q.Placements[i].Bound))
	}
	slices.Reverse(t.Path)
	for i := range t.Path {
		if t.Path[i].Instrument == instrument {
			t.Path[i].Instrument = ""
		}
	}
	return t
}

// ready is the position of the activity whose end makes an instrument ready;
// NoTerminal where its scope has none.
func (n *Network) ready(instrument string) int {
	for i, s := range n.of {
		if s.instrument == instrument && s.operation == readyOperation {
			return i
		}
	}
	return schedule.NoTerminal
}

func (n *Network) step(axis *schedule.Axis, i int, d schedule.Dates) Step {
	s := n.of[i]
	return Step{
		Operation: s.operation, Name: s.name, Sitting: s.number,
		Start: axis.Time(d.Start), Finish: axis.Time(d.Finish), Released: axis.Time(d.TailEnd),
	}
}

// pathStep says in trade words why an activity starts no earlier.
func (n *Network) pathStep(axis *schedule.Axis, i int, d schedule.Dates, b schedule.Bound) PathStep {
	s := n.of[i]
	step := PathStep{Instrument: s.instrument, Operation: s.operation, Name: s.name, Start: axis.Time(d.Start), Why: "may begin at once"}
	switch b.Kind {
	case schedule.BoundDataDate:
	case schedule.BoundRelease, schedule.BoundFixed:
		step.Why = n.rests[i]
	case schedule.BoundLink:
		step.Why = n.whys[b.Link]
	case schedule.BoundStation:
		step.Why = fmt.Sprintf("the %s is taken", n.Stations[b.Station].Name)
		if b.Activity >= 0 {
			holder := n.of[b.Activity]
			step.Why += fmt.Sprintf(" by %q", holder.name)
			if holder.instrument != "" {
				step.Why += " of " + holder.instrument
			}
		}
	}
	return step
}

func later(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func hoursIn(t schedule.Ticks) decimal.Decimal {
	return decimal.NewFromInt(int64(t)).Div(ticksPerHour)
}
