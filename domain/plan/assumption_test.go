package plan_test

import (
	"slices"
	"testing"
	"time"

	"bentside/domain"
	"bentside/domain/domaintest"
	"bentside/domain/plan"
)

// What a workshop has entered or confirmed isn't taken for granted any more.
func TestDatesTakeForGrantedOnlyWhatNobodyEnteredOrConfirmed(t *testing.T) {
	t.Parallel()
	ada := []domain.Person{{Name: "Ada", ProductiveShare: domaintest.Dec("1")}}
	for _, x := range []struct {
		name   string
		change func(*plan.Shop)
		want   []domain.AssumptionKey
	}{
		{
			"as it starts", func(*plan.Shop) {},
			[]domain.AssumptionKey{
				domain.AssumedHours, domain.AssumedHolidays, domain.AssumedPeople, domain.AssumedStations,
			},
		},
		{
			"with its hours, holidays and people",
			func(s *plan.Shop) {
				s.Open.Week[time.Saturday] = []domain.Interval{{From: 8 * 60, To: 12 * 60}}
				s.Open.Holidays, s.People = make([]domain.Date, 1), ada
			},
			[]domain.AssumptionKey{domain.AssumedStations},
		},
		{
			"with stations in no room",
			func(s *plan.Shop) { s.Stations = []domain.Station{{Name: "bench"}, {Name: "intake bay"}} },
			[]domain.AssumptionKey{
				domain.AssumedHours, domain.AssumedHolidays, domain.AssumedPeople, domain.AssumedRooms,
			},
		},
		{
			"with one of them in a room",
			func(s *plan.Shop) {
				s.Stations = []domain.Station{{Name: "bench"}, {Name: "intake bay", Room: "barn"}}
			},
			[]domain.AssumptionKey{domain.AssumedHours, domain.AssumedHolidays, domain.AssumedPeople},
		},
		{
			"with its hours and holidays confirmed",
			func(s *plan.Shop) {
				s.Confirmed = []domain.AssumptionKey{domain.AssumedHours, domain.AssumedHolidays}
			},
			[]domain.AssumptionKey{domain.AssumedPeople, domain.AssumedStations},
		},
	} {
		where := plan.Shop{Open: domain.OpeningHours{Week: domain.DefaultWeek()}}
		x.change(&where)
		of := func(list []domain.Assumption) []domain.AssumptionKey {
			var keys []domain.AssumptionKey
			for _, a := range list {
				if a.Text == "" || a.Brief == "" {
					t.Errorf("%s: %s says nothing", x.name, a.Key)
				}
				keys = append(keys, a.Key)
			}
			return keys
		}
		if got := of(where.Assumptions()); !slices.Equal(got, x.want) {
			t.Errorf("%s: %q, want %q", x.name, got, x.want)
		}
		in := plan.Inputs{Stations: where.Stations, People: where.People}
		in.Workshop.Open, in.Workshop.Confirmed = where.Open, where.Confirmed
		if got := of(in.Assumptions()); !slices.Equal(got, x.want) {
			t.Errorf("a plan made %s: %q, want %q", x.name, got, x.want)
		}
	}
}
