package scope_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"

	"github.com/shopspring/decimal"
)

// With twenty points in doubt there are more worlds than can be drawn, and a plan of some of them
// stands in for all. What it says of the work holds against surveys drawn at random and each costed
// by itself.
func TestAPlanOfWorldsAgreesWithSurveysDrawnAtRandom(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	terms := domaintest.Terms(c)
	terms.UnknownOdds = domaintest.SameOdds("0.7", "0.2", "0.1")
	u := &terms.Uncertainty
	u.JobSD, u.GroupSD = decimal.New(15, -2), decimal.New(15, -2)
	u.PointsWithWear = decimal.New(30, -2)
	in := domaintest.Grand()
	unknown := []catalogue.PointCode{
		"SV-10", "SV-11", "SV-12", "SV-13", "SV-15", "SV-16", "SV-17", "SV-18", "SV-22", "SV-26",
		"SV-27", "SV-28", "SV-30", "SV-33", "SV-36", "SV-39", "SV-47", "SV-49", "SV-50", "SV-52",
	}
	js := domaintest.SoundButUnknown(t, c, in, unknown...)
	cases := 2_000
	if testing.Short() {
		cases /= 4
	}
	depth := catalogue.Restore
	drawn := domaintest.Draw(t, c, in, js, depth, terms.PointOdds())
	e, err := scope.Estimate(c, in, js, drawn, terms)
	if err != nil {
		t.Fatal(err)
	}
	s := domaintest.Simulation{
		Catalogue: c, Instrument: in, Judgements: js, Depth: depth, Terms: terms, Doubts: unknown,
	}
	list := s.Draw(t, rand.New(rand.NewPCG(20, 20)), cases)
	work, noise := e.Work().Overall(), 3.5/math.Sqrt(float64(cases))
	for _, p := range []float64{0.1, 0.25, 0.5, 0.75, 0.9} {
		// How often a drawn case lies below what is told as the percentile.
		told := float64(work.Quantile(decimal.NewFromFloat(p)).Minor())
		below := 0
		for _, x := range list {
			if x.Work <= told {
				below++
			}
		}
		got := float64(below) / float64(cases)
		t.Logf("%s: below the %.0fth percentile of %.2f lie %.2f %% of the cases", depth, 100*p,
			told/100, 100*got)
		if math.Abs(got-p) > 0.005+noise*math.Sqrt(p*(1-p)) {
			t.Errorf("%s: below the %.0fth percentile lie %.2f %%", depth, 100*p, 100*got)
		}
	}
}
