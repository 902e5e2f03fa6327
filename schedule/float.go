package schedule

import (
	"cmp"
	"slices"
)

// totalFloats moves every activity, the last end first, as late as it can go while all others stay
// where they now are. After each move, and halfway through it, the dates are a plan of the same
// cost and finish; so the final ones are too, and what an activity has moved is its total float.
// (Floats under limited resources are computed by a pass from the end: Bowers 1995; from memory.)
func (x *explainer) totalFloats() {
	order := make([]int32, len(x.dates))
	for i := range order {
		order[i] = index32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		return cmp.Or(cmp.Compare(x.dates[j].TailEnd, x.dates[i].TailEnd),
			cmp.Compare(x.dates[j].Start, x.dates[i].Start), cmp.Compare(j, i))
	})
	late := slices.Clone(x.dates)
	x.decoder.dates = late
	for _, i := range order {
		late[i] = x.latestAlone(i)
		x.decoder.hold(i, &x.dates[i], -1)
		x.decoder.hold(i, &late[i], 1)
		at := &x.plan.Placements[i]
		at.Late = late[i]
		at.TotalFloat = max(at.FreeFloat,
			floatTicks(x.axis, &x.network.nodes[i], &at.Dates, &late[i]))
	}
}

// freeFloat returns how much later activity i can start if it alone is moved.
func (x *explainer) freeFloat(i int32) Ticks {
	last := x.latestAlone(i)
	return floatTicks(x.axis, &x.network.nodes[i], &x.dates[i], &last)
}

// latestAlone returns the latest dates of activity i while all others stay at the decoder's dates,
// with no cost and no later finish. A group can't enter the floor before its place is free, so only
// its last end limits it.
func (x *explainer) latestAlone(i int32) Dates {
	nd, d := &x.network.nodes[i], x.dates[i]
	if nd.fixed != minInstant {
		return d
	}
	end := x.plan.Finish
	if g := x.groupOf[i]; g >= 0 && x.problem.Floor > 0 {
		end = d.TailEnd
		for _, j := range x.problem.Groups[g].Activities {
			end = max(end, x.dates[j].TailEnd)
		}
	}
	if x.costly[i] {
		end = d.TailEnd
	}
	end = max(d.TailEnd, min(end, nd.deadline)) // a deadline already missed limits nothing
	last := x.path.latest(x.network, x.axis, x.decoder.dates, i, end)
	if last.Start <= d.Start {
		return d
	}
	x.decoder.hold(i, &d, -1)
	defer x.decoder.hold(i, &d, 1)
	demands := x.demandsOf(i)
	for k := range demands {
		if nd.work > 0 || demands[k].hold == HoldThroughTail && nd.tail > 0 {
			last = x.latestFitting(&demands[k], nd, &d, last)
		}
	}
	return last
}

// latestFitting shortens a move from the dates d to last if something on the way has no room for
// it.
func (x *explainer) latestFitting(w *demand, nd *node, d *Dates, last Dates) Dates {
	way := last
	way.StartTick, way.Start = d.StartTick, d.Start
	for next := d.StartTick; next >= 0; {
		var from, to int64
		from, to, next = x.held(w, &way, next)
		for from < to {
			since, until, short := x.decoder.profiles[w.station].firstShortageIn(from, to,
				w.quantity, w.state)
			if !short {
				break
			}
			before := x.latestEndingBy(w, nd, since)
			if nd.work == 0 || w.hold == HoldWorking {
				return before
			}
			// A tick later it would meet the shortage, unless that falls in closed hours and it
			// steps over them.
			after := nd.dates(x.axis, before.StartTick+1, 0)
			if _, over := x.fromUnit(w.station, until); after.Start < over {
				return before
			}
			from = until
		}
	}
	return last
}

// latestEndingBy returns the latest dates of an activity whose demand ends by a point in the unit
// of its station.
func (x *explainer) latestEndingBy(w *demand, nd *node, since int64) Dates {
	at := Instant(since)
	if x.byTick[w.station] {
		if w.hold == HoldWorking {
			return nd.dates(x.axis, Ticks(since)-nd.work, 0)
		}
		at = x.axis.startAfter(Ticks(since))
	}
	p := pointFinish
	if w.hold == HoldThroughTail {
		p = pointTail
	}
	return nd.dates(x.axis, nd.startFor(x.axis, p, at), at.Add(-nd.tail))
}
