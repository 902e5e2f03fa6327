package plan

import (
	"fmt"
	"maps"
	"slices"

	"bentside/domain"
	"bentside/schedule"

	"github.com/google/uuid"
)

// outages returns, by station of a network, what absences take of it: places that are out of use,
// and one of every pool that somebody who is away belongs to.
func (s Shop) outages() map[stationKey][]schedule.Reservation {
	if len(s.Absences) == 0 {
		return nil
	}
	out := map[stationKey][]schedule.Reservation{}
	for _, x := range s.Stations {
		for _, a := range s.Absences {
			if a.Station == x.ID && a.Station != uuid.Nil {
				key := stationKey{name: x.Name}
				out[key] = append(out[key], s.stationOutage(x, a))
			}
		}
	}
	pools := crewOf(s.People).pools
	for _, p := range s.People {
		for _, run := range s.away(p.ID) {
			reason := fmt.Sprintf("%s is away until %s", p.Name, run.Last.AddDays(1))
			for _, x := range pools {
				if x.has(p) {
					key := stationKey{true, x.name()}
					out[key] = append(out[key], s.outage(reason, 1, run.First, run.Last))
				}
			}
		}
	}
	return out
}

func (s Shop) stationOutage(x domain.Station, a domain.Absence) schedule.Reservation {
	reason := fmt.Sprintf("out of use until %s", a.Last.AddDays(1))
	if a.Why != "" {
		reason += " (" + a.Why + ")"
	}
	places := a.Places
	if places == 0 {
		places = x.Count
	}
	return s.outage(reason, places, a.First, a.Last)
}

func (s Shop) outage(reason string, quantity int, first, last domain.Date) schedule.Reservation {
	return schedule.Reservation{
		Name: reason, Quantity: quantity, From: first.In(s.Zone), To: last.AddDays(1).In(s.Zone),
	}
}

// away returns when a person is away, in order. Absences that overlap or adjoin are merged, so that
// somebody who is away twice at once is missing once.
func (s Shop) away(person uuid.UUID) []domain.Absence {
	var runs []domain.Absence
	for _, a := range s.Absences {
		if a.Person == person {
			runs = append(runs, domain.Absence{First: a.First, Last: a.Last})
		}
	}
	slices.SortFunc(runs, func(a, b domain.Absence) int { return a.First.Compare(b.First) })
	merged := runs[:0]
	for _, r := range runs {
		if k := len(merged) - 1; k >= 0 && merged[k].Last.DaysUntil(r.First) <= 1 {
			if merged[k].Last.DaysUntil(r.Last) > 0 {
				merged[k].Last = r.Last
			}
			continue
		}
		merged = append(merged, r)
	}
	return merged
}

// allAway returns the days on which everybody is away, in order.
func (s Shop) allAway() []domain.Date {
	count := map[domain.Date]int{}
	for _, p := range s.People {
		for _, run := range s.away(p.ID) {
			for d := run.First; d.DaysUntil(run.Last) >= 0; d = d.AddDays(1) {
				count[d]++
			}
		}
	}
	maps.DeleteFunc(count, func(_ domain.Date, n int) bool { return n < len(s.People) })
	return slices.SortedFunc(maps.Keys(count), domain.Date.Compare)
}

// closures returns the days on which everybody is away as exceptions of a calendar: the shop is
// closed then, so that work begun before them goes on after them.
func (s Shop) closures() []schedule.Exception {
	var list []schedule.Exception
	for _, d := range s.allAway() {
		day := schedule.Date(d)
		list = append(list, schedule.Exception{Name: "everybody away", First: day, Last: day})
	}
	return list
}
