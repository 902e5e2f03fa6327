package schedule

import (
	"cmp"
	"slices"
)

// putOff moves everything, what ends last first, as late as it can slip while all else stays where it now is. After each move, and halfway
// through it, the dates are a plan of the same cost and finish; so the last ones are too, and what an activity slipped is its total float.
// (Floats under limited resources are found by a pass from the end: Bowers 1995; from memory.)
func (x *explainer) putOff() {
	order := make([]int32, len(x.dates))
	for i := range order {
		order[i] = index32(i)
	}
	slices.SortFunc(order, func(i, j int32) int {
		return cmp.Or(cmp.Compare(x.dates[j].TailEnd, x.dates[i].TailEnd), cmp.Compare(x.dates[j].Start, x.dates[i].Start), cmp.Compare(j, i))
	})
	late := slices.Clone(x.dates)
	x.decoder.dates = late
	for _, i := range order {
		late[i] = x.last(i)
		x.decoder.hold(i, &x.dates[i], -1)
		x.decoder.hold(i, &late[i], 1)
		at := &x.plan.Placements[i]
		at.Late = late[i]
		at.TotalFloat = max(at.Slack, slack(x.axis, &x.network.nodes[i], &at.Dates, &late[i]))
	}
}

// slack is how much later activity i can start when it alone is moved.
func (x *explainer) slack(i int32) Ticks {
	last := x.last(i)
	return slack(x.axis, &x.network.nodes[i], &x.dates[i], &last)
}

// last is how far activity i can slip while everything else stays at the decoder's dates, with no cost and no later finish. No group comes
// before its place on the floor, so that only its last end is bound.
func (x *explainer) last(i int32) Dates {
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
	end = max(d.TailEnd, min(end, nd.deadline)) // one that is missed already binds nothing
	last := x.path.latest(x.network, x.axis, x.decoder.dates, i, end)
	if last.Start <= d.Start {
		return d
	}
	x.decoder.hold(i, &d, -1)
	defer x.decoder.hold(i, &d, 1)
	wants := x.of(i)
	for k := range wants {
		if nd.work > 0 || wants[k].hold == HoldThroughTail && nd.tail > 0 {
			last = x.slide(&wants[k], nd, &d, last)
		}
	}
	return last
}

// slide cuts a slip from the dates d to last short where something on the way has no room for it.
func (x *explainer) slide(w *want, nd *node, d *Dates, last Dates) Dates {
	way := last
	way.StartTick, way.Start = d.StartTick, d.Start
	for next := d.StartTick; next >= 0; {
		var from, to int64
		from, to, next = x.stretch(w, &way, next)
		for from < to {
			since, until, lacks := x.decoder.free[w.station].firstLack(from, to, w.quantity)
			if !lacks {
				break
			}
			before := x.before(w, nd, since)
			if nd.work == 0 || w.hold == HoldWorking {
				return before
			}
			// A tick later it would meet the lack, unless that falls in closed hours and it steps over them.
			after := nd.dates(x.axis, before.StartTick+1, 0)
			if _, over := x.instantOf(w.station, until); after.Start < over {
				return before
			}
			from = until
		}
	}
	return last
}

// before is the last place of an activity, with a want, that ends by a point in the unit of its station.
func (x *explainer) before(w *want, nd *node, since int64) Dates {
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
