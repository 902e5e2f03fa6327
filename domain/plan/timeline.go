package plan

import (
	"fmt"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// Timeline is the dates of one instrument's work.
type Timeline struct {
	Ready time.Time `json:"ready"` // when the instrument stands ready in the showroom
	Steps []Step    `json:"steps"`
	// Path is the chain of steps that drives Ready, first step first.
	Path []PathStep `json:"path"`
}

// Step is one operation, or one of its sittings, on the calendar.
type Step struct {
	Operation catalogue.Code `json:"operation"`
	Name      string         `json:"name"`
	Sitting   int            `json:"sitting"` // from 1
	Start     time.Time      `json:"start"`
	Finish    time.Time      `json:"finish"`   // of the attended work
	Released  time.Time      `json:"released"` // end of the tail: cured, set, settled
	// LateStart and the floats, in working hours, say how much later the step can start before the
	// end of any job is put off (total) and before any other step is (free). On a critical path
	// they are by the links alone, in a plan by links, stations, people and floor. Documents up to
	// engine 5 have none for a plan.
	LateStart  *time.Time       `json:"late_start,omitempty"`
	TotalFloat *decimal.Decimal `json:"total_float_hours,omitempty"`
	FreeFloat  *decimal.Decimal `json:"free_float_hours,omitempty"`
}

// PathStep is one step of a driving chain, in the words of the trade.
type PathStep struct {
	Instrument string         `json:"instrument,omitempty"` // empty: the one that is asked about
	Operation  catalogue.Code `json:"operation"`
	Name       string         `json:"name"`
	Start      time.Time      `json:"start"`
	Why        string         `json:"why"` // why it starts no earlier
}

// criticalPath dates the network as if every person and place were free.
func (n *Network) criticalPath(axis *schedule.Axis, at time.Time) (Timeline, error) {
	net, err := schedule.NewNetwork(n.Activities, n.Links)
	if err != nil {
		return Timeline{}, fmt.Errorf("link the work: %w", err)
	}
	r, err := schedule.CriticalPathTo(net, axis, at, n.readyActivity(""))
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
		t.Path = append(t.Path, n.pathStep(axis, i, r.Activities[i].Early, r.Activities[i].Driver))
	}
	return t, nil
}

// timeline returns the dates of one instrument in a plan.
func (n *Network) timeline(axis *schedule.Axis, p *schedule.Plan, instrument string) Timeline {
	t := Timeline{Ready: axis.Time(p.DataDate)}
	last := n.readyActivity(instrument)
	for i, x := range p.Placements {
		if n.sittings[i].instrument != instrument {
			continue
		}
		t.Steps = append(t.Steps, n.planStep(axis, i, x))
		if last == schedule.NoTerminal {
			t.Ready = later(t.Ready, axis.Time(x.TailEnd))
		}
	}
	if last == schedule.NoTerminal {
		return t
	}
	t.Ready = axis.Time(p.Placements[last].TailEnd)
	for _, i := range p.Chain(last) {
		step := n.pathStep(axis, i, p.Placements[i].Dates, p.Placements[i].Driver)
		if step.Instrument == instrument {
			step.Instrument = ""
		}
		t.Path = append(t.Path, step)
	}
	return t
}

// readyActivity returns the position of the activity whose end makes an instrument ready;
// NoTerminal where its scope has none.
func (n *Network) readyActivity(instrument string) int {
	for i, s := range n.sittings {
		if s.instrument == instrument && s.ready {
			return i
		}
	}
	return schedule.NoTerminal
}

func (n *Network) step(axis *schedule.Axis, i int, d schedule.Dates) Step {
	s := n.sittings[i]
	return Step{
		Operation: s.operation, Name: s.name, Sitting: s.number,
		Start: axis.Time(d.Start), Finish: axis.Time(d.Finish), Released: axis.Time(d.TailEnd),
	}
}

// planStep returns a step with its floats in a plan.
func (n *Network) planStep(axis *schedule.Axis, i int, p schedule.Placement) Step {
	s := n.step(axis, i, p.Dates)
	late, total, free := axis.Time(p.Late.Start), hoursIn(p.TotalFloat), hoursIn(p.FreeFloat)
	s.LateStart, s.TotalFloat, s.FreeFloat = &late, &total, &free
	return s
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
