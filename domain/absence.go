package domain

import (
	"slices"

	"github.com/google/uuid"
)

// Absence is the days from First to Last, both included, on which a member of the crew is away or
// places of a station are out of use: leave, a service visit, a repair.
type Absence struct {
	ID      uuid.UUID `json:"id"`
	Person  uuid.UUID `json:"person,omitzero"`  // zero: of a station
	Station uuid.UUID `json:"station,omitzero"` // zero: of a person
	Places  int       `json:"places,omitempty"` // how many of the station's; 0: all
	First   Date      `json:"first"`
	Last    Date      `json:"last"`
	// Why is optional for a person and is never copied into plans or bids.
	Why string `json:"why,omitempty"`
}

// Check returns an Invalid Fault with everything wrong in an absence that is entered today, or nil.
func (a Absence) Check(people []Person, stations []Station, today Date) error {
	var f Faults
	switch {
	case (a.Person == uuid.Nil) == (a.Station == uuid.Nil):
		f.Add("#/person", "must name either a person or a station")
	case a.Person != uuid.Nil &&
		!slices.ContainsFunc(people, func(p Person) bool { return p.ID == a.Person }):
		f.Add("#/person", "must be a member of the crew")
	}
	a.checkStation(&f, stations)
	if d := a.First.DaysUntil(a.Last); a.First.IsZero() || d < 0 || d > MaxRestDays {
		f.Add("#/last", "must be the first day or a later one, at most %d days after it", MaxRestDays)
	}
	if d := today.DaysUntil(a.Last); d < 0 || d > MaxDaysAhead {
		f.Add("#/last", "must be today, %s, or later, at most 20 years ahead", today)
	}
	return f.Err()
}

func (a Absence) checkStation(f *Faults, stations []Station) {
	if a.Station == uuid.Nil {
		if a.Places != 0 {
			f.Add("#/places", "must be left out for a person")
		}
		return
	}
	i := slices.IndexFunc(stations, func(s Station) bool { return s.ID == a.Station })
	switch {
	case i < 0:
		f.Add("#/station", "must be a station of the workshop")
	case stations[i].Name == FloorStation:
		f.Add("#/station", "must not be the floor: change how many instruments it holds instead")
	case a.Places < 0 || a.Places > stations[i].Count:
		f.Add(
			"#/places", "must be from 0 to the %d that %s has, not %d", stations[i].Count,
			stations[i].Name, a.Places,
		)
	}
}

// WithoutPersonalReasons returns a copy of the absences as plans and bids keep them: why somebody
// is away is left out.
func WithoutPersonalReasons(list []Absence) []Absence {
	list = slices.Clone(list)
	for i := range list {
		if list[i].Person != uuid.Nil {
			list[i].Why = ""
		}
	}
	return list
}
