package domain_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/domaintest"

	"github.com/google/uuid"
)

var (
	ada, bo = uuid.UUID{1}, uuid.UUID{2}
	bay     = uuid.UUID{9}
)

// pointersOf returns the pointers of an Invalid Fault.
func pointersOf(err error) []string {
	f := domaintest.FaultOf(err)
	if f == nil {
		return nil
	}
	var list []string
	for _, x := range f.Fields {
		list = append(list, x.Pointer)
	}
	return list
}

func TestEverythingWrongInAnAbsenceIsRefusedAtOnce(t *testing.T) {
	t.Parallel()
	people := []domain.Person{{ID: ada}}
	stations := []domain.Station{
		{ID: bay, Name: "booth", Count: 2}, {ID: bo, Name: "floor", Count: 9},
	}
	day := domaintest.JobDay.AddDays
	for name, c := range map[string]struct {
		absence domain.Absence
		want    []string
	}{
		"of nothing": {
			domain.Absence{First: domaintest.JobDay, Last: day(3)}, []string{"#/person"},
		},
		"of both": {
			domain.Absence{Person: ada, Station: bay, First: domaintest.JobDay, Last: day(3)},
			[]string{"#/person"},
		},
		"of a stranger": {
			domain.Absence{Person: bo, Places: 1, First: domaintest.JobDay, Last: day(-1)},
			[]string{"#/person", "#/places", "#/last", "#/last"},
		},
		"of no station": {
			domain.Absence{Station: ada, First: domaintest.JobDay, Last: domaintest.JobDay},
			[]string{"#/station"},
		},
		"of the floor": {
			domain.Absence{Station: bo, First: domaintest.JobDay, Last: domaintest.JobDay},
			[]string{"#/station"},
		},
		"more than there is": {
			domain.Absence{
				Station: bay, Places: 3, First: domaintest.JobDay, Last: domaintest.JobDay,
			},
			[]string{"#/places"},
		},
		"over already": {
			domain.Absence{Person: ada, First: day(-9), Last: day(-1)}, []string{"#/last"},
		},
		"for ever": {
			domain.Absence{Person: ada, First: domaintest.JobDay, Last: day(9_000)},
			[]string{"#/last", "#/last"},
		},
		"a day of one, sound": {
			domain.Absence{Person: ada, First: domaintest.JobDay, Last: domaintest.JobDay}, nil,
		},
		"began before, sound": {domain.Absence{Person: ada, First: day(-9), Last: day(9)}, nil},
		"places of a bay, sound": {
			domain.Absence{Station: bay, Places: 2, First: domaintest.JobDay, Last: day(9)}, nil,
		},
	} {
		got := pointersOf(c.absence.Check(people, stations, domaintest.JobDay))
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

func TestNoPlanRepeatsWhyAPersonIsAway(t *testing.T) {
	t.Parallel()
	list := []domain.Absence{{Person: ada, Why: "in hospital"}, {Station: bay, Why: "new floor"}}
	if got := domain.WithoutPersonalReasons(list); got[0].Why != "" || got[1].Why != "new floor" ||
		list[0].Why == "" {
		t.Errorf("got %+v from %+v", got, list)
	}
}
