package convert

import (
	"bentside/api/app"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/openapi"
)

// Doubts renders the points that nobody looked at. Without money, and where the scope has no
// estimate, the costs are left out; the estimate itself says why there is none.
func Doubts(s app.DrawnScope, withMoney bool) []openapi.Doubt {
	var looks []scope.DoubtCost
	if withMoney {
		if list, err := scope.DoubtCosts(s.Catalogue, s.Instrument, s.Judgements,
			s.Scope, s.Workshop.Terms); err == nil {
			looks = list
		}
	}
	out := make([]openapi.Doubt, len(s.Scope.Doubts))
	for i, d := range s.Scope.Doubts {
		out[i] = openapi.Doubt{
			Point: openapi.PointCode(d.Point), RevealedBy: string(d.RevealedBy),
			ExpectedHours: d.ExpectedHours, Ways: All(d.Outcomes, renderDoubtWay),
		}
		if looks == nil {
			continue
		}
		expected := Money(looks[i].Expected)
		out[i].ExpectedCost = &expected
		for j := range looks[i].Costs {
			out[i].Ways[j].Costs = MoneyRange(looks[i].Costs[j])
		}
	}
	return out
}

func renderDoubtWay(w scope.Outcome) openapi.DoubtWay {
	return openapi.DoubtWay{
		Severity: openapi.Severity(w.Severity), Odds: w.Odds,
		Adds:  NotNull(Texts[catalogue.Code, openapi.OperationCode](w.Adds)),
		Drops: NotNull(Texts[catalogue.Code, openapi.OperationCode](w.Drops)),
		Hours: openapi.Difference{Low: w.Hours.Low, Likely: w.Hours.Likely, High: w.Hours.High},
	}
}

func renderDoubtBranch(b scope.Branch) openapi.DoubtBranch {
	return openapi.DoubtBranch{
		Point: openapi.PointCode(b.Point), Severity: openapi.Severity(b.Severity), Odds: b.Odds,
	}
}
