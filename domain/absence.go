package domain

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"bentside/schedule"

	"github.com/google/uuid"
)

// Absence is days, First to Last inclusive, on which a person of the crew is
// away or places of a station are out of use: leave, a service visit, a repair.
type Absence struct {
	ID      uuid.UUID `json:"id"`
	Person  uuid.UUID `json:"person,omitzero"`  // zero: of a station
	Station uuid.UUID `json:"station,omitzero"` // zero: of a person
	Places  int       `json:"places,omitempty"` // of the station; 0: all that it has
	First   Date      `json:"first"`
	Last    Date      `json:"last"`
	// Why is not asked of a person, and no document of a plan or bid holds what
	// was said of one.
	Why string `json:"why,omitempty"`
}

// Check returns an Invalid Fault with all that cannot be right in an absence
// that is entered today, or nil.
func (a Absence) Check(people []Person, stations []Station, today Date) error {
	var f Faults
	switch {
	case (a.Person == uuid.Nil) == (a.Station == uuid.Nil):
		f.Add("#/person", "must be of a person or of a station, and not of both")
	case a.Person != uuid.Nil && !slices.ContainsFunc(people, func(p Person) bool { return p.ID == a.Person }):
		f.Add("#/person", "there is no such person")
	}
	a.checkStation(&f, stations)
	if d := a.First.DaysUntil(a.Last); a.First.IsZero() || d < 0 || d > maxRest {
		f.Add("#/last", "must lie from the first day on, at most %d days after it", maxRest)
	}
	if d := today.DaysUntil(a.Last); d < 0 || d > furthest {
		f.Add("#/last", "must be a day from today, %s, on, and at most 20 years ahead", today)
	}
	return f.Err()
}

func (a Absence) checkStation(f *Faults, stations []Station) {
	if a.Station == uuid.Nil {
		if a.Places != 0 {
			f.Add("#/places", "a person has none")
		}
		return
	}
	i := slices.IndexFunc(stations, func(s Station) bool { return s.ID == a.Station })
	switch {
	case i < 0:
		f.Add("#/station", "there is no such station")
	case stations[i].Name == floorStation:
		f.Add("#/station", "room on the floor is counted by its places; change their number")
	case a.Places < 0 || a.Places > stations[i].Count:
		f.Add("#/places", "%s has %d", stations[i].Name, stations[i].Count)
	}
}

// InPlans are absences as plans and bids keep them: without what was said of a
// person.
func InPlans(list []Absence) []Absence {
	list = slices.Clone(list)
	for i := range list {
		if list[i].Person != uuid.Nil {
			list[i].Why = ""
		}
	}
	return list
}

// outages are what absences take of each station of a network:
// one of every pool that somebody belongs to, while they are away; a person
// who is away twice at once is missing once.
func (s Shop) outages() map[stationKey][]schedule.Reservation {
	if len(s.Absences) == 0 {
		return nil
	}
	out := map[stationKey][]schedule.Reservation{}
	for _, x := range s.Stations {
		for _, a := range s.Absences {
			if a.Station == x.ID && a.Station != uuid.Nil {
				says := fmt.Sprintf("out of use until %s", a.Last.AddDays(1))
				if a.Why != "" {
					says += " (" + a.Why + ")"
				}
				quantity := a.Places
				if quantity == 0 {
					quantity = x.Count
				}
				key := stationKey{name: x.Name}
				out[key] = append(out[key], s.outage(says, quantity, a.First, a.Last))
			}
		}
	}
	pools := crewOf(s.People).pools
	for _, p := range s.People {
		for _, run := range s.away(p.ID) {
			says := fmt.Sprintf("%s is away until %s", p.Name, run.Last.AddDays(1))
			for _, x := range pools {
				if x.has(p) {
					key := stationKey{true, x.name()}
					out[key] = append(out[key], s.outage(says, 1, run.First, run.Last))
				}
			}
		}
	}
	return out
}

func (s Shop) outage(says string, quantity int, first, last Date) schedule.Reservation {
	return schedule.Reservation{Name: says, Quantity: quantity, From: first.In(s.Zone), To: last.AddDays(1).In(s.Zone)}
}

// away is when somebody is away, in order, absences that meet made one.
func (s Shop) away(person uuid.UUID) []Absence {
	var runs []Absence
	for _, a := range s.Absences {
		if a.Person == person {
			runs = append(runs, Absence{First: a.First, Last: a.Last})
		}
	}
	slices.SortFunc(runs, func(a, b Absence) int { return cmp.Compare(b.First.DaysUntil(a.First), 0) })
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

// deserted are the days on which everybody is away, in order. The shop is
// closed then, so that work begun before may be taken up after them.
func (s Shop) deserted() []Date {
	count := map[Date]int{}
	for _, p := range s.People {
		for _, run := range s.away(p.ID) {
			for d := run.First; d.DaysUntil(run.Last) >= 0; d = d.AddDays(1) {
				count[d]++
			}
		}
	}
	maps.DeleteFunc(count, func(_ Date, n int) bool { return n < len(s.People) })
	return sortedDates(count)
}

// closed are the days on which nobody works, as exceptions of a calendar.
func (s Shop) closed() []schedule.Exception {
	var list []schedule.Exception
	for _, d := range s.deserted() {
		list = append(list, schedule.Exception{Name: "everybody away", First: schedule.Date(d), Last: schedule.Date(d)})
	}
	return list
}
