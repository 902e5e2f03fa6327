package plan

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/schedule"
)

// The texts of this file are stored in bids and plans, which must come out the same when they are
// recomputed: a change of them needs a new engine.

// thisInstrument names the instrument that is asked about.
const thisInstrument = "this instrument"

// pathStep returns an activity with the reason why it starts no earlier, in the words of the trade.
func (n *Network) pathStep(
	axis *schedule.Axis, i int, d schedule.Dates, b schedule.Driver,
) PathStep {
	s := n.sittings[i]
	step := PathStep{
		Instrument: s.instrument, Operation: s.operation, Name: s.name, Start: axis.Time(d.Start),
		Why: n.startReason(i, b),
	}
	for _, stop := range n.unlifted[i] {
		step.Why += fmt.Sprintf("; not before this is cleared, and dated as if it were now: %s", stop.Says)
	}
	until := n.reopened(axis, d.Start)
	if until.IsZero() || n.Activities[i].Work == 0 {
		return step
	}
	text := fmt.Sprintf("everybody is away until %s", until)
	if b.Kind == schedule.DriverDataDate && len(n.unlifted[i]) == 0 {
		step.Why = text
	} else {
		step.Why += "; " + text
	}
	return step
}

func (n *Network) startReason(i int, b schedule.Driver) string {
	switch b.Kind {
	case schedule.DriverDataDate:
		if n.Activities[i].UnderWay {
			return "under way; what is left goes on at once"
		}
	case schedule.DriverRelease, schedule.DriverFixed:
		return n.releaseReasons[i]
	case schedule.DriverLink:
		return n.linkReasons[b.Link]
	case schedule.DriverStation, schedule.DriverClash:
		return n.stationReason(b)
	case schedule.DriverFloor:
		if b.Activity >= 0 {
			return fmt.Sprintf("there is no room on the floor until %s has gone", n.instrumentOf(b.Activity))
		}
		return "there is no room on the floor"
	case schedule.DriverOrder:
		return "it was put here to keep another within its time"
	}
	return "may begin at once"
}

// reopened returns the day on which the shop opens again after everybody was away, where that was
// just before an instant; no day otherwise.
func (n *Network) reopened(axis *schedule.Axis, at schedule.Instant) domain.Date {
	since := axis.From()
	if t, _ := axis.FirstFrom(at); t > 0 {
		since, _ = axis.EndOf(t - 1)
	}
	first, last := domain.DateOf(axis.Time(since)), domain.DateOf(axis.Time(at))
	for _, d := range slices.Backward(n.allAway) {
		if first.DaysUntil(d) >= 0 && d.DaysUntil(last) > 0 {
			return d.AddDays(1)
		}
	}
	return domain.Date{}
}

// stationReason says what was in the way at a station.
func (n *Network) stationReason(b schedule.Driver) string {
	if n.bodies[b.Station] != "" {
		return n.inTheWay(b)
	}
	name := n.Stations[b.Station].Name
	clash, people := b.Kind == schedule.DriverClash, n.isCrewPool(name)
	text := fmt.Sprintf("the %s is taken", name)
	switch {
	case clash:
		text = "not beside " + name
	case people:
		text = "no free " + name
	}
	switch {
	case b.Activity >= 0:
		by := fmt.Sprintf("%q", n.sittings[b.Activity].name)
		if instrument := n.sittings[b.Activity].instrument; instrument != "" {
			by += " of " + instrument
		}
		switch {
		case clash:
			return text + ", from " + by
		case people:
			return text + " before " + by + " is done"
		}
		return text + " by " + by
	case b.Reservation >= 0:
		return text + ", " + n.Reservations[b.Reservation].Name
	}
	return text
}

// isCrewPool reports whether a station stands for people.
func (n *Network) isCrewPool(name string) bool {
	return slices.ContainsFunc(n.crew.pools, func(p pool) bool { return p.name() == name })
}

func (n *Network) instrumentOf(activity int) string {
	if name := n.sittings[activity].instrument; name != "" {
		return name
	}
	return thisInstrument
}
