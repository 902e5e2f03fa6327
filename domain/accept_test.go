package domain_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// Where an unlooked-at point leaves it open whether strings are kept or
// renewed, the job has the option that the dates are reckoned with and not none.
func TestAJobHasTheOptionThatItsScopeIsPlannedWith(t *testing.T) {
	t.Parallel()
	c := &catalogue.Catalogue{Operations: []catalogue.Operation{
		operation("IN-01", "Survey"), operation("ST-02", "New strings"), operation("ST-04", "Strings kept"), operation("TU-01", "Tuning"),
	}}
	s := domain.Scope{Lines: []domain.Line{
		{Operation: "IN-01", Chance: dec("1")},
		{Operation: "ST-02", Chance: dec("0.25")},
		{Operation: "ST-04", Chance: dec("0.75"), Expected: true},
		{Operation: "TU-01", Chance: dec("1")},
	}}
	j, err := domain.Accept(c, s, domain.Instrument{}, domain.Date{Year: 2026, Month: 3, Day: 2})
	if err != nil {
		t.Fatal(err)
	}
	var got []catalogue.Code
	for _, x := range j.Tasks {
		got = append(got, x.Operation)
	}
	if want := []catalogue.Code{"ST-04", "TU-01"}; !slices.Equal(got, want) {
		t.Errorf("tasks %v, want %v", got, want)
	}
}
