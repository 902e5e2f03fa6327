package plan

import (
	"cmp"
	"slices"
	"time"

	"bentside/domain"
	"bentside/schedule"
)

// loadKey is a station in a week.
type loadKey struct {
	station int
	week    domain.Date
}

// loadSum adds up, in ticks of opening time, what is held of stations week by week, and what is
// missing of them because people are away or places out of use.
type loadSum struct {
	*Network
	axis          *schedule.Axis
	held, missing map[loadKey]int64
	last          schedule.Ticks // end of the last hold
}

// loads returns what the tasks hold each week of each station that the workshop lists and of the
// people for each skill, against what there is of it. A hold through a tail counts while the shop
// is open, and what a suspended task keeps is held. An instrument takes its place on the floor from
// its first work, or from now where it stands there already, to the end of its last work.
func (n *Network) loads(axis *schedule.Axis, plan *schedule.Plan) []Load {
	sum := &loadSum{Network: n, axis: axis, held: map[loadKey]int64{}, missing: map[loadKey]int64{}}
	first, _ := axis.FirstFrom(plan.DataDate)
	for i, at := range plan.Placements {
		for _, need := range n.Activities[i].Needs {
			end := at.FinishTick
			if need.Hold == schedule.HoldThroughTail {
				end, _ = axis.FirstFrom(at.TailEnd)
			}
			sum.hold(need.Station, at.StartTick, end, need.Quantity)
		}
	}
	if floor, ok := n.listedStation(domain.FloorStation); ok {
		for _, g := range n.Instruments {
			from, to := onFloor(axis, plan, g, first)
			sum.hold(floor, from, to, 1)
		}
	}
	open, end := sum.openTicks(first)
	for station := range n.Stations {
		if n.loadKind(station) != "" {
			sum.addReservations(station, first, end)
		}
	}
	return sum.list(open)
}

// hold adds a hold of a station that is shown.
func (s *loadSum) hold(station int, from, to schedule.Ticks, quantity int) {
	s.last = max(s.last, to)
	if s.loadKind(station) == "" {
		return
	}
	for t := from; t < to; t++ {
		s.held[loadKey{station, weekOf(s.axis, t)}] += int64(quantity)
	}
}

// openTicks counts the ticks of each week from first on, to the end of the week of the last hold.
func (s *loadSum) openTicks(first schedule.Ticks) (open map[domain.Date]int64, end schedule.Ticks) {
	open = map[domain.Date]int64{}
	inLastWeek := func(t schedule.Ticks) bool {
		return weekOf(s.axis, t) == weekOf(s.axis, max(s.last-1, first))
	}
	for end = first; end < s.axis.Len() && (end < s.last || inLastWeek(end)); end++ {
		open[weekOf(s.axis, end)]++
	}
	return open, end
}

func (s *loadSum) list(open map[domain.Date]int64) []Load {
	list := []Load{}
	for key, ticks := range s.held {
		station := s.Stations[key.station]
		there := open[key.week]*int64(station.Capacity) - s.missing[key]
		l := Load{
			Kind: s.loadKind(key.station), Name: station.Name, Week: key.week,
			Held: hoursIn(schedule.Ticks(ticks)), Open: hoursIn(schedule.Ticks(there)),
		}
		if l.Kind == "skill" {
			l.Name = s.skillOf(station.Name)
		}
		list = append(list, l)
	}
	slices.SortFunc(list, func(a, b Load) int {
		return cmp.Or(-cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name), a.Week.Compare(b.Week))
	})
	return list
}

// onFloor returns from when to when the instrument of a group stands on the floor; now is the first
// tick of the plan.
func onFloor(
	axis *schedule.Axis, plan *schedule.Plan, g schedule.Group, now schedule.Ticks,
) (from, to schedule.Ticks) {
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

// addReservations adds what reservations hold of a station and what is missing of it, in the
// opening time from one tick to another: never more than there is.
func (s *loadSum) addReservations(station int, first, end schedule.Ticks) {
	ofStation := func(r schedule.Reservation) bool { return r.Station == station }
	if !slices.ContainsFunc(s.Reservations, ofStation) {
		return
	}
	kept, gone := make([]int, end-first+1), make([]int, end-first+1) // changes, tick by tick
	for k, r := range s.Reservations {
		from, _ := s.axis.FirstFrom(schedule.InstantBefore(r.From))
		to, _ := s.axis.FirstFrom(schedule.InstantBefore(r.To))
		if from, to = max(from, first), min(to, end); r.Station != station || from >= to {
			continue
		}
		changes := gone
		if s.forWork[k] {
			changes = kept
		}
		changes[from-first] += r.Quantity
		changes[to-first] -= r.Quantity
	}
	capacity := s.Stations[station].Capacity
	for t, k, g := first, 0, 0; t < end; t++ {
		k, g = k+kept[t-first], g+gone[t-first]
		if k > 0 || g > 0 {
			key := loadKey{station, weekOf(s.axis, t)}
			out := min(g, capacity)
			s.missing[key] += int64(out)
			if there := min(k, capacity-out); there > 0 {
				s.held[key] += int64(there)
			}
		}
	}
}

// loadKind returns the kind under which a station's load is shown: station for those that the
// workshop lists, skill for the people for one skill; empty for a station that isn't shown.
func (n *Network) loadKind(station int) string {
	switch {
	case station < n.listed:
		return "station"
	case n.skillOf(n.Stations[station].Name) != "":
		return "skill"
	}
	return ""
}

// skillOf returns the skill whose people a station stands for; empty for any other station.
func (n *Network) skillOf(station string) string {
	for _, p := range n.crew.pools {
		if len(p.skills) == 1 && p.name() == station {
			return p.skills[0]
		}
	}
	return ""
}

// weekOf returns the Monday of the week in which a tick begins.
func weekOf(axis *schedule.Axis, t schedule.Ticks) domain.Date {
	start, _ := axis.StartOf(t)
	at := axis.Time(start)
	return domain.DateOf(at).AddDays(-(int(at.Weekday()+6) % daysPerWeek))
}

const daysPerWeek = int(time.Saturday) + 1
