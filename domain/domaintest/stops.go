package domaintest

import (
	"testing"

	"bentside/domain/clearance"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// Stops returns what stops an instrument in a country, with what was found and cleared of it.
func Stops(
	t testing.TB, country string, in instrument.Instrument, findings []survey.Finding,
	cleared ...clearance.Clearance,
) clearance.List {
	t.Helper()
	list, err := clearance.StopsOf(clearance.Record{
		Catalogue: Shipped(t), Instrument: in, Country: country,
		Surveys:    []survey.Survey{{Findings: findings}},
		Clearances: cleared,
	})
	if err != nil {
		t.Fatal(err)
	}
	return list
}
