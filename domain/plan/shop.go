package plan

import (
	"maps"
	"slices"
	"time"

	"bentside/domain"
	"bentside/schedule"
)

// Shop is what dates depend on apart from the work: opening hours in a zone, stations, and the crew
// with who is away. Without people, hours are taken as they are and nobody is waited for.
type Shop struct {
	Open     domain.OpeningHours
	Zone     *time.Location
	Stations []domain.Station
	People   []domain.Person
	Absences []domain.Absence
	// Confirmed are the settings that the owner said are right as they are. No date depends on it.
	Confirmed []domain.AssumptionKey
}

// axis returns the shop's opening hours from an instant on, for some years.
func (s Shop) axis(from time.Time, years int) (*schedule.Axis, error) {
	var week schedule.Week
	for day, intervals := range s.Open.Week {
		week[day] = hoursOf(intervals)
	}
	var exceptions []schedule.Exception
	for _, d := range s.Open.Holidays {
		day := schedule.Date(d)
		exceptions = append(exceptions, schedule.Exception{Name: "holiday", First: day, Last: day})
	}
	for _, d := range slices.SortedFunc(maps.Keys(s.Open.Special), domain.Date.Compare) {
		day := schedule.Date(d)
		exceptions = append(exceptions, schedule.Exception{
			Name: "special hours", First: day, Last: day, Hours: hoursOf(s.Open.Special[d]),
		})
	}
	exceptions = append(exceptions, s.closures()...)
	calendar, err := schedule.NewCalendar("shop", s.Zone, week, exceptions...)
	if err != nil {
		return nil, domain.Refuse(domain.Invalid, "the opening hours: %v", err)
	}
	// An axis starts on the quarter hour: starting one before ensures that it holds the instant.
	return schedule.NewAxis(from.Add(-15*time.Minute), from.AddDate(years, 0, 0), calendar)
}

func hoursOf(intervals []domain.Interval) []schedule.Shift {
	hours := make([]schedule.Shift, len(intervals))
	for i, v := range intervals {
		hours[i] = schedule.Shift{From: schedule.Clock(v.From), To: schedule.Clock(v.To)}
	}
	return hours
}
