package domain

import (
	"cmp"
	"slices"
	"time"

	"bentside/schedule"
)

// loadKey is a station in a week.
type loadKey struct {
	station int
	week    Date
}

// loads add up by week what the tasks hold of each place that the workshop
// lists and of the people for each skill, in ticks of opening time, against
// what there is of it. A hold through a tail counts while the shop is open, and
// what a suspended task keeps is held. An instrument takes its place on the floor
// from its first work, or from now where it stands there, to the end of its last.
func (n *Network) loads(axis *schedule.Axis, plan *schedule.Plan) []Load {
	open, held, missing := map[Date]int64{}, map[loadKey]int64{}, map[loadKey]int64{}
	first, _ := axis.FirstFrom(plan.DataDate)
	last := schedule.Ticks(0)
	hold := func(station int, from, to schedule.Ticks, quantity int) {
		last = max(last, to)
		if n.loadKind(station) == "" {
			return
		}
		for t := from; t < to; t++ {
			held[loadKey{station, weekOf(axis, t)}] += int64(quantity)
		}
	}
	for i, at := range plan.Placements {
		for _, need := range n.Activities[i].Needs {
			end := at.FinishTick
			if need.Hold == schedule.HoldThroughTail {
				end, _ = axis.FirstFrom(at.TailEnd)
			}
			hold(need.Station, at.StartTick, end, need.Quantity)
		}
	}
	if floor, ok := n.place(floorStation); ok {
		for _, g := range n.Instruments {
			from, to := standing(axis, plan, g, first)
			hold(floor, from, to, 1)
		}
	}
	// The last week is counted to its end.
	end := first
	for ; end < axis.Len() && (end < last || weekOf(axis, end) == weekOf(axis, max(last-1, first))); end++ {
		open[weekOf(axis, end)]++
	}
	for station := range n.Stations {
		if n.loadKind(station) != "" {
			n.reserved(axis, station, first, end, held, missing)
		}
	}
	list := []Load{}
	for key, ticks := range held {
		s := n.Stations[key.station]
		l := Load{
			Kind: n.loadKind(key.station), Name: s.Name, Week: key.week, Held: hoursIn(schedule.Ticks(ticks)),
			Open: hoursIn(schedule.Ticks(open[key.week]*int64(s.Capacity) - missing[key])),
		}
		if l.Kind == "skill" {
			l.Name = n.skillOf(s.Name)
		}
		list = append(list, l)
	}
	slices.SortFunc(list, func(a, b Load) int {
		return cmp.Or(-cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Week.String(), b.Week.String()))
	})
	return list
}

// standing is from when to when the instrument of a group stands on the floor; now
// is the first tick of the plan.
func standing(axis *schedule.Axis, plan *schedule.Plan, g schedule.Group, now schedule.Ticks) (from, to schedule.Ticks) {
	from = axis.Len()
	for _, i := range g.Activities {
		at := plan.Placements[i]
		end, _ := axis.FirstFrom(at.TailEnd)
		from, to = min(from, at.StartTick), max(to, end)
	}
	if g.Present {
		from = now
	}
	return from, to
}

// reserved adds up by week what of a station is kept and what is missing, in the
// opening time from one tick to another: never more than there is.
func (n *Network) reserved(axis *schedule.Axis, station int, first, end schedule.Ticks, held, missing map[loadKey]int64) {
	if !slices.ContainsFunc(n.Reservations, func(r schedule.Reservation) bool { return r.Station == station }) {
		return
	}
	kept, gone := make([]int, end-first+1), make([]int, end-first+1) // changes, tick by tick
	for k, r := range n.Reservations {
		from, _ := axis.FirstFrom(schedule.InstantBefore(r.From))
		to, _ := axis.FirstFrom(schedule.InstantBefore(r.To))
		if from, to = max(from, first), min(to, end); r.Station != station || from >= to {
			continue
		}
		changes := gone
		if n.kept[k] {
			changes = kept
		}
		changes[from-first] += r.Quantity
		changes[to-first] -= r.Quantity
	}
	capacity := n.Stations[station].Capacity
	for t, k, g := first, 0, 0; t < end; t++ {
		k, g = k+kept[t-first], g+gone[t-first]
		if k > 0 || g > 0 {
			key := loadKey{station, weekOf(axis, t)}
			out := min(g, capacity)
			missing[key] += int64(out)
			if there := min(k, capacity-out); there > 0 {
				held[key] += int64(there)
			}
		}
	}
}

// loadKind says whether a station's load is told: of the places that the
// workshop lists, and of the people for one skill.
func (n *Network) loadKind(station int) string {
	switch {
	case station < n.listed:
		return "station"
	case n.skillOf(n.Stations[station].Name) != "":
		return "skill"
	}
	return ""
}

// skillOf is the skill whose people a station stands for; empty for any other.
func (n *Network) skillOf(station string) string {
	for _, p := range n.crew.pools {
		if len(p.skills) == 1 && p.name() == station {
			return p.skills[0]
		}
	}
	return ""
}

// weekOf is the Monday of the week in which a tick begins.
func weekOf(axis *schedule.Axis, t schedule.Ticks) Date {
	start, _ := axis.StartOf(t)
	at := axis.Time(start)
	return DateOf(at).AddDays(-(int(at.Weekday()+6) % daysPerWeek))
}

const daysPerWeek = int(time.Saturday) + 1
