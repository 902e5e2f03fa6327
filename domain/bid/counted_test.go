package bid_test

import (
	"slices"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/pricing"
)

// What it costs to fetch a piano is given for the purchase or counted with the work, and never
// both. Its dates are the same.
func TestTheHaulInIsCountedOnce(t *testing.T) {
	t.Parallel()
	const haulIn = "IN-02"
	way := inRange(catalogue.Recondition, "9000", "9800", "10600")
	fetched := bidFor(t, way)
	hauled := bidFor(t, way)
	hauled.Asked.TransportIn = domaintest.Dec("0")
	paid, worked := workOut(t, fetched).Ways[0], workOut(t, hauled).Ways[0]
	for _, row := range []struct {
		name      string
		way       bid.WayResult
		inWork    bool
		countedIn scope.CountedIn
	}{
		{"transport is given", paid, false, scope.InTransport},
		{"no transport is given", worked, true, ""},
	} {
		if got := slices.ContainsFunc(row.way.Estimate.Lines,
			func(l pricing.CostedLine) bool { return l.Ref == haulIn }); got != row.inWork {
			t.Errorf("%s: the haul-in is in the work: %v, want %v", row.name, got, row.inWork)
		}
		for code, want := range map[catalogue.Code]scope.CountedIn{
			haulIn: row.countedIn, "IN-01": scope.BeforePurchase, "DL-01": scope.InSelling, "RG-01": "",
		} {
			i := slices.IndexFunc(row.way.Scope.Lines,
				func(l scope.Line) bool { return l.Operation == code })
			if i < 0 || row.way.Scope.Lines[i].CountedIn != want {
				t.Errorf("%s: %s isn't listed as counted in %q", row.name, code, want)
			}
		}
	}
	less := worked.Estimate.Hours.Likely.Sub(paid.Estimate.Hours.Likely)
	if !less.Equal(domaintest.Dec("5")) {
		t.Errorf("%s hours fewer, want the 5 of the haul-in", less)
	}
	if !paid.Dates.Queued.Ready.Equal(worked.Dates.Queued.Ready) {
		t.Errorf("ready at %s or %s, want the same", paid.Dates.Queued.Ready, worked.Dates.Queued.Ready)
	}
}
