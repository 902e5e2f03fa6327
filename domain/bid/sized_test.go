package bid_test

import (
	"slices"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
)

// Parts that are missing are made whatever the veneer is like: how little of it is loose doesn't
// make them less work, and more of it makes no better price.
func TestMissingPartsAreNotSizedByLooseVeneer(t *testing.T) {
	t.Parallel()
	base := bidFor(t, inRange(catalogue.Recondition, "18000", "19800", "21600"))
	base.Findings = append(
		without(base.Findings, "SV-59", "SV-52"), domaintest.Number("SV-59", "2", ""),
	)
	var before *bid.WayResult
	for _, row := range []struct{ loose, quantity string }{
		{"0", "0.5"}, {"0.01", "0.5"}, {"0.02", "0.5"}, {"0.03", "0.5"}, {"0.31", "0.5"}, {"0.8", "0.8"},
	} {
		in := base
		in.Findings = append(
			slices.Clone(base.Findings), domaintest.Number("SV-52", row.loose, "m2"),
		)
		w := workOut(t, in).Ways[0]
		i := slices.IndexFunc(w.Scope.Lines, func(l scope.Line) bool { return l.Operation == "CS-02L" })
		if i < 0 || !w.Scope.Lines[i].Quantity.Equal(domaintest.Dec(row.quantity)) {
			t.Fatalf("%s m² loose: no CS-02L of %s", row.loose, row.quantity)
		}
		l := w.Scope.Lines[i]
		t.Logf("%s m² loose: %s, %s, aims at %s", row.loose, l.Quantity, l.Formula, aimOf(w))
		if before != nil && aimOf(w).GreaterThan(aimOf(*before)) {
			t.Errorf("%s m² loose: aims at %s, with less at %s", row.loose, aimOf(w), aimOf(*before))
		}
		before = &w
	}
}
