package bid_test

import (
	"math"
	"testing"

	"bentside/domain/bid"
	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
)

// The table's work is the mean over the cases in which there is work: what the sums count weighs it
// by their chance and comes to the mean of what was drawn, and it lies below the mean of all cases,
// since a worn piano proves a donor sooner.
func TestTheTablesWorkIsThatOfTheCasesThatAreFit(t *testing.T) {
	t.Parallel()
	in := bidFor(t, inRange(catalogue.Restore, "41000", "44000", "46500"))
	sound := workOut(t, in).Ways[0]
	in.Findings = without(in.Findings, "SV-54", "SV-63", "SV-29")
	w := workOut(t, in).Ways[0]
	for _, u := range w.Unseen {
		if u.IfBad == bid.ByLaw {
			t.Fatalf("%+v", u)
		}
	}
	unfit := w.Negotiation.Unfit.InexactFloat64()
	whole := w.Estimate.Costs.Total.Expected
	told := w.Estimate.Work().WhereFit(bid.Unfit(in, w)).Mean()
	if off := float64(told.Minor())/float64(whole.Minor()) - 1; math.Abs(off) > 0.001 {
		t.Errorf("the table has %s, the distribution of the fit cases %s: %+.2f %%", whole, told, 100*off)
	}
	all := w.Estimate.Work().Overall().Mean()
	t.Logf("unfit %.4f: table %s, fit %s, all %s; everything sound %s", unfit, whole, told, all,
		sound.Estimate.Costs.Total.Expected)
	if all.Cmp(told) <= 0 {
		t.Errorf("all cases %s, the fit ones %s", all, told)
	}
	hours := w.Estimate.Hours
	if !hours.Low.LessThan(hours.Expected) || !hours.Expected.LessThan(hours.High) {
		t.Errorf("hours %+v", hours)
	}
	if domaintest.Dec("0.05").GreaterThan(*w.Negotiation.Unfit) {
		t.Errorf("unfit in %s of cases", w.Negotiation.Unfit)
	}
}
