package api

import (
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/openapi"
)

func renderOmission(o scope.Omission) openapi.Omission {
	return openapi.Omission{
		Operation: string(o.Operation), Name: o.Name,
		Necessity: openapi.OmissionNecessity(o.Necessity),
		Of:        convertTexts[catalogue.Code, openapi.OperationCode](o.Of), Says: o.Text,
		Because: openapi.OmissionBecause(o.Because), By: o.By, Why: o.Why,
	}
}

func renderWaiver(w scope.Waiver) openapi.Waiver {
	return openapi.Waiver{
		Operation: string(w.Operation), Name: w.Name, Because: openapi.WaiverBecause(w.Because),
		By: w.By, Why: w.Why,
	}
}

func renderDropped(d scope.Dropped) openapi.DroppedLine {
	return openapi.DroppedLine{
		Operation: string(d.Line.Operation), Name: d.Line.Name, Hours: renderThreePoint(d.Line.Hours),
		Chance: d.Line.Chance, Group: d.Group, From: d.From, To: d.To, Says: d.Text,
	}
}

func renderUndoneFinding(u scope.Undone) openapi.UndoneFinding {
	return openapi.UndoneFinding{
		Point: openapi.PointCode(u.Point), Severity: openapi.Severity(u.Severity), Says: u.Text,
		Missing: convertAll(u.Missing, renderCall),
	}
}

func renderCall(k catalogue.Call) openapi.SuggestedWork {
	return openapi.SuggestedWork{
		Operation: string(k.Operation), Group: k.Group, Option: k.Option,
	}
}
