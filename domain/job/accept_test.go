package job_test

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/job"
	"bentside/domain/scope"
)

// Nobody works on a piano that its seller still has.
func TestOnlyWhatWasBoughtOrIsAClientsIsWorkedOn(t *testing.T) {
	t.Parallel()
	c := &catalogue.Catalogue{
		Operations: []catalogue.Operation{domaintest.Operation("TU-01", "Tuning")},
	}
	s := scope.Scope{Lines: []scope.Line{{Operation: "TU-01", Chance: domaintest.Dec("1")}}}
	for owner, want := range map[instrument.Ownership]domain.FaultKind{
		instrument.Offered: domain.Conflict, instrument.Stock: "", instrument.Client: "",
	} {
		_, err := job.Accept(
			c, s, instrument.Instrument{Owner: owner}, domain.Date{Year: 2026, Month: 3, Day: 2},
		)
		if got := domaintest.KindOf(err); got != want {
			t.Errorf("%s: got %v, want the fault %q", owner, err, want)
		}
	}
}

// A scope of which some work can't be done isn't a job, and all that stands in the way is named.
func TestWorkThatCannotBeDoneIsNotAccepted(t *testing.T) {
	t.Parallel()
	s := scope.Scope{Stops: []scope.Stop{{Text: "no pin is larger"}, {Text: "the plank is cracked"}}}
	_, err := job.Accept(
		domaintest.Shipped(t), s, instrument.Instrument{Owner: instrument.Stock}, domaintest.JobDay,
	)
	if f := domaintest.FaultOf(err); f == nil || f.Kind != domain.Conflict ||
		!slices.Equal(f.Chain, []string{"no pin is larger", "the plank is cracked"}) {
		t.Errorf("got %v, want a conflict over both", err)
	}
}

// Where an unlooked-at point leaves it open whether strings are kept or renewed, the job has the
// option that the dates assume and not none.
func TestAJobHasTheOptionThatItsScopeIsPlannedWith(t *testing.T) {
	t.Parallel()
	c := &catalogue.Catalogue{Operations: []catalogue.Operation{
		domaintest.Operation("IN-01", "Survey"), domaintest.Operation(
			"ST-02", "New strings",
		), domaintest.Operation("ST-04", "Strings kept"), domaintest.Operation("TU-01", "Tuning"),
	}}
	s := scope.Scope{Lines: []scope.Line{
		{Operation: "IN-01", Chance: domaintest.Dec("1")},
		{Operation: "ST-02", Chance: domaintest.Dec("0.25")},
		{Operation: "ST-04", Chance: domaintest.Dec("0.75"), Expected: true},
		{Operation: "TU-01", Chance: domaintest.Dec("1")},
	}}
	j, err := job.Accept(c, s, instrument.Instrument{}, domain.Date{Year: 2026, Month: 3, Day: 2})
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
