package scope_test

import (
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// The law bars dealing in ivory that isn't known to be from before 1975 (UK: S90, S91). A client
// who keeps his piano deals in nothing, and neither does whoever glues its loose heads.
func TestAClientKeepsTheIvoryThatADealerMayNotSell(t *testing.T) {
	t.Parallel()
	findings := []survey.Finding{
		domaintest.Answer("SV-42", "ivory"), domaintest.Number("SV-43", "2", ""),
	}
	keep := domaintest.Choose("NATURALS", "ivory")
	for _, x := range []struct {
		owner instrument.Ownership
		year  int
		kept  bool
	}{
		{instrument.Client, 1979, true},
		{instrument.Client, 0, true},
		{instrument.Client, 1904, true},
		{instrument.Stock, 1979, false},
		{instrument.Stock, 0, false},
		{instrument.Stock, 1904, true},
		{instrument.Offered, 1979, false},
		{instrument.Offered, 0, false},
		{instrument.Offered, 1904, true},
	} {
		in := domaintest.Grand()
		in.Covering, in.Owner, in.Year = "ivory", x.owner, x.year
		c := domaintest.Shipped(t)
		js := domaintest.Judged(t, c, in, findings)
		for _, depth := range catalogue.Depths {
			_, err := scope.Draw(c, in, js, depth, []scope.Edit{keep}, domaintest.Odds)
			if (err == nil) != x.kept {
				t.Errorf("%s, %d, %s: choosing to keep the ivory: %v", x.owner, x.year, depth, err)
			}
		}
		for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
			s := domaintest.ScopeOf(t, in, depth, findings)
			if has(s, "KY-04") != x.kept || has(s, "KY-03") == x.kept {
				t.Errorf("%s, %d, %s: two heads loose: repaired %v, re-covered %v; want it kept: %v",
					x.owner, x.year, depth, has(s, "KY-04"), has(s, "KY-03"), x.kept)
			}
		}
		s := domaintest.ScopeOf(t, in, catalogue.AsFound, findings[:1])
		if x.owner == instrument.Client && has(s, "KY-03") {
			t.Errorf("%d: sound ivory of a client is re-covered", x.year)
		}
	}
}
