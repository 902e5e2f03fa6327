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

// timeline reads the dates of one instrument off a plan.
func (n *Network) timeline(axis *schedule.Axis, p *schedule.Plan, instrument string) Timeline {
	t := Timeline{Ready: axis.Time(p.DataDate)}
	last := n.ready(instrument)
	for i, x := range p.Placements {
		if n.of[i].instrument != instrument {
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
	t.Path = n.chain(axis, p, last)
	for i := range t.Path {
		if t.Path[i].Instrument == instrument {
			t.Path[i].Instrument = ""
		}
	}
	return t
}

// chain is what binds an activity of a plan, first step first, in trade words.
func (n *Network) chain(axis *schedule.Axis, p *schedule.Plan, i int) []PathStep {
	var path []PathStep
	for _, k := range p.Chain(i) {
		path = append(path, n.pathStep(axis, k, p.Placements[k].Dates, p.Placements[k].Bound))
	}
	return path
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

// planStep is a step with its floats in a plan.
func (n *Network) planStep(axis *schedule.Axis, i int, p schedule.Placement) Step {
	s := n.step(axis, i, p.Dates)
	late, total, free := axis.Time(p.Late.Start), hoursIn(p.TotalFloat), hoursIn(p.Slack)
	s.LateStart, s.TotalFloat, s.FreeFloat = &late, &total, &free
	return s
}

// pathStep says in trade words why an activity starts no earlier.
func (n *Network) pathStep(axis *schedule.Axis, i int, d schedule.Dates, b schedule.Bound) PathStep {
	s := n.of[i]
	step := PathStep{Instrument: s.instrument, Operation: s.operation, Name: s.name, Start: axis.Time(d.Start), Why: "may begin at once"}
	switch b.Kind {
	case schedule.BoundDataDate:
		if n.Activities[i].UnderWay {
			step.Why = "under way; what is left goes on at once"
		}
	case schedule.BoundRelease, schedule.BoundFixed:
		step.Why = n.rests[i]
	case schedule.BoundLink:
		step.Why = n.whys[b.Link]
	case schedule.BoundStation, schedule.BoundClash:
		step.Why = n.taken(b)
	case schedule.BoundFloor:
		step.Why = "there is no room on the floor"
		if b.Activity >= 0 {
			step.Why += fmt.Sprintf(" until %s has gone", n.instrumentOf(b.Activity))
		}
	case schedule.BoundOrder:
		step.Why = "it was put here to keep another within its time"
	}
	if until := n.nobodyBefore(axis, d.Start); !until.IsZero() && n.Activities[i].Work > 0 {
		says := fmt.Sprintf("everybody is away until %s", until)
		if b.Kind == schedule.BoundDataDate {
			step.Why = says
		} else {
			step.Why += "; " + says
		}
	}
	return step
}

// nobodyBefore is the day on which the shop opens again after everybody was away,
// where that was just before an instant; zero elsewhere.
func (n *Network) nobodyBefore(axis *schedule.Axis, at schedule.Instant) Date {
	since := axis.From()
	if t, _ := axis.FirstFrom(at); t > 0 {
		since, _ = axis.EndOf(t - 1)
	}
	first, last := DateOf(axis.Time(since)), DateOf(axis.Time(at))
	for _, d := range slices.Backward(n.deserted) {
		if first.DaysUntil(d) >= 0 && d.DaysUntil(last) > 0 {
			return d.AddDays(1)
		}
	}
	return Date{}
}

// taken says what was in the way at a station.
func (n *Network) taken(b schedule.Bound) string {
	name := n.Stations[b.Station].Name
	says := fmt.Sprintf("the %s is taken", name)
	switch {
	case b.Kind == schedule.BoundClash:
		says = "not beside " + name
	case n.crewPool(name):
		says = "no free " + name
	}
	switch {
	case b.Activity >= 0:
		of := n.of[b.Activity]
		by := fmt.Sprintf("%q", of.name)
		if of.instrument != "" {
			by += " of " + of.instrument
		}
		switch {
		case b.Kind == schedule.BoundClash:
			return says + ", from " + by
		case n.crewPool(name):
			return says + " before " + by + " is done"
		}
		return says + " by " + by
	case b.Reservation >= 0:
		return says + ", " + n.Reservations[b.Reservation].Name
	}
	return says
}

// crewPool reports whether a station stands for people.
func (n *Network) crewPool(name string) bool {
	return slices.ContainsFunc(n.crew.pools, func(p pool) bool { return p.name() == name })
}

// instrumentOf names the instrument that an activity belongs to.
func (n *Network) instrumentOf(i int) string {
	if name := n.of[i].instrument; name != "" {
		return name
	}
	return "this instrument"
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
