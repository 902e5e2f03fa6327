package scope_test

import (
	"testing"

	"bentside/domain/catalogue"
	"bentside/domain/domaintest"
	"bentside/domain/scope"
	"bentside/domain/survey"
	"bentside/pricing"
	"bentside/pricing/money"
)

// What a look is worth must be what the bid says once somebody has looked. With few open points the
// two come to the same, percentiles to within the grid; of a sample of worlds, within two per cent.
func TestAnEstimateWithAPointSoundIsThatOfTheSurveyWithItFoundSound(t *testing.T) {
	t.Parallel()
	c := domaintest.Shipped(t)
	terms := domaintest.Terms(c)
	terms.UnknownOdds = domaintest.SameOdds("0.7", "0.2", "0.1")
	few := []catalogue.PointCode{"SV-29", "SV-39", "SV-53"}
	many := append([]catalogue.PointCode{
		"SV-10", "SV-11", "SV-12", "SV-13", "SV-15", "SV-16", "SV-17", "SV-18", "SV-22", "SV-26",
		"SV-27", "SV-28", "SV-30", "SV-33", "SV-36", "SV-47", "SV-49", "SV-50", "SV-52",
	}, few...)
	for _, row := range []struct {
		name      string
		open      []catalogue.PointCode
		expected  string // may be off by this share
		quantiles string // likewise
	}{{"few points open", few, "0.00001", "0.005"}, {"many points open", many, "0.02", "0.05"}} {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			for _, depth := range []catalogue.Depth{catalogue.Recondition, catalogue.Restore} {
				work := func(s scope.Scope, js survey.Judgements) pricing.Estimate {
					e, err := scope.Estimate(c, domaintest.Grand(), js, s, terms)
					if err != nil {
						t.Fatal(err)
					}
					return e
				}
				js := domaintest.SoundButUnknown(t, c, domaintest.Grand(), row.open...)
				s := domaintest.Draw(t, c, domaintest.Grand(), js, depth, terms.PointOdds())
				open := work(s, js)
				for _, p := range few {
					got, err := s.EstimateGiven(open, scope.Given{Sound: p})
					if err != nil {
						t.Fatalf("%s at %s: %v", p, depth, err)
					}
					seen := withJudgement(js, looked(c, js.Of(p), catalogue.Sound))
					want := work(domaintest.Draw(
						t, c, domaintest.Grand(), seen, depth, terms.PointOdds(),
					), seen)
					for _, x := range []struct {
						what      string
						got, want money.Amount
						tolerance string
					}{
						{"low", got.Costs.Total.Low, want.Costs.Total.Low, row.quantiles},
						{"expected", got.Costs.Total.Expected, want.Costs.Total.Expected, row.expected},
						{"high", got.Costs.Total.High, want.Costs.Total.High, row.quantiles},
					} {
						off := x.got.Sub(x.want).Decimal().Abs()
						if off.GreaterThan(x.want.Decimal().Mul(domaintest.Dec(x.tolerance))) {
							t.Errorf("%s sound at %s: %s %s, worked out anew %s (open %s)", p, depth, x.what,
								x.got, x.want, open.Costs.Total.Expected)
						}
					}
					if more := got.Costs.Total.Expected.Sub(open.Costs.Total.Expected); more.Minor() > 5 {
						t.Errorf("%s at %s: sound it costs %s, open %s", p, depth,
							got.Costs.Total.Expected, open.Costs.Total.Expected)
					}
				}
			}
		})
	}
}
