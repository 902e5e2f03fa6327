package api

import (
	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/openapi"
)

// showDoubts renders what nobody looked at; the plain view leaves money out,
// and so does a scope without an estimate: asked for one, it says why.
func showDoubts(s app.DrawnScope, v view) []openapi.Doubt {
	var looks []domain.Look
	if v == fullView {
		if list, err := domain.Looks(s.Catalogue, s.Instrument, s.Judgements, s.Scope, s.Workshop.Terms); err == nil {
			looks = list
		}
	}
	out := make([]openapi.Doubt, len(s.Scope.Doubts))
	for i, d := range s.Scope.Doubts {
		out[i] = openapi.Doubt{
			Point: openapi.PointCode(d.Point), RevealedBy: string(d.RevealedBy), ExpectedHours: d.ExpectedHours,
			Ways: renderAll(d.Ways, renderDoubtWay),
		}
		if looks == nil {
			continue
		}
		expected := renderMoney(looks[i].Expected)
		out[i].ExpectedCost = &expected
		for j := range looks[i].Costs {
			out[i].Ways[j].Costs = renderRange(looks[i].Costs[j])
		}
	}
	return out
}

func renderDoubtWay(w domain.DoubtWay) openapi.DoubtWay {
	return openapi.DoubtWay{
		Severity: openapi.Severity(w.Severity), Odds: w.Odds,
		Adds:  orEmptyList(texts[catalogue.Code, openapi.OperationCode](w.Adds)),
		Drops: orEmptyList(texts[catalogue.Code, openapi.OperationCode](w.Drops)),
		Hours: openapi.Difference{Low: w.Hours.Low, Likely: w.Hours.Likely, High: w.Hours.High},
	}
}

func renderDoubtBranch(b domain.Branch) openapi.DoubtBranch {
	return openapi.DoubtBranch{Point: openapi.PointCode(b.Point), Severity: openapi.Severity(b.Severity), Odds: b.Odds}
}
