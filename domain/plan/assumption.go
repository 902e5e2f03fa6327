package plan

import (
	"slices"

	"bentside/domain"
)

// Assumptions returns what the dates of a shop rest on that it may not have entered and that nobody
// has confirmed.
func (s Shop) Assumptions() []domain.Assumption {
	var list []domain.Assumption
	start := domain.DefaultWeek()
	for _, a := range []struct {
		moved bool
		key   domain.AssumptionKey
		brief string
		text  string
	}{
		{
			slices.EqualFunc(s.Open.Week[:], start[:], slices.Equal), domain.AssumedHours,
			"open Monday to Friday, 8 to 12 and 13 to 17",
			"The workshop is open from Monday to Friday, 8 to 12 and 13 to 17.",
		},
		{
			len(s.Open.Holidays) == 0, domain.AssumedHolidays,
			"no holidays",
			"There are no holidays: none is entered.",
		},
		{
			len(s.People) == 0, domain.AssumedPeople,
			"somebody always free",
			"Somebody with the skill is always free: nobody is entered who works here.",
		},
		{
			len(s.Stations) == 0, domain.AssumedStations,
			"room for any number",
			"There is room for any number of instruments, and a free place for every task: no " +
				"stations are entered.",
		},
		{
			len(s.Stations) > 0 && !slices.ContainsFunc(s.Stations, func(x domain.Station) bool {
				return x.Room != ""
			}), domain.AssumedRooms,
			"each station a room of its own",
			"Each station is a room of its own: no rooms are entered.",
		},
	} {
		if a.moved {
			list = append(list, domain.Assumption{Key: a.key, Text: a.text, Brief: a.brief})
		}
	}
	return domain.Unconfirmed(list, s.Confirmed)
}

// Assumptions returns what the dates of a plan rest on that nobody had entered or confirmed when it
// was made.
func (in Inputs) Assumptions() []domain.Assumption {
	return Shop{
		Open: in.Workshop.Open, Stations: in.Stations, People: in.People,
		Confirmed: in.Workshop.Confirmed,
	}.Assumptions()
}
