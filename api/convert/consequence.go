package convert

import (
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/openapi"
)

// Omission returns work that an edit left out, with why.
func Omission(o scope.Omission) openapi.Omission {
	return openapi.Omission{
		Operation: string(o.Operation), Name: o.Name,
		Necessity: openapi.OmissionNecessity(o.Necessity),
		Of:        Texts[catalogue.Code, openapi.OperationCode](o.Of), Says: o.Text,
		Because: openapi.OmissionBecause(o.Because), By: o.By, Why: o.Why,
	}
}

// Waiver returns work that a client does without.
func Waiver(w scope.Waiver) openapi.Waiver {
	return openapi.Waiver{
		Operation: string(w.Operation), Name: w.Name, Because: openapi.WaiverBecause(w.Because),
		By: w.By, Why: w.Why,
	}
}

// Dropped returns a line that fell out when an option was changed.
func Dropped(d scope.Dropped) openapi.DroppedLine {
	return openapi.DroppedLine{
		Operation: string(d.Line.Operation), Name: d.Line.Name, Hours: ThreePoint(d.Line.Hours),
		Chance: d.Line.Chance, Group: d.Group, From: d.From, To: d.To, Says: d.Text,
	}
}

// UndoneFinding returns a finding that no line answers, with the work that would.
func UndoneFinding(u scope.Undone) openapi.UndoneFinding {
	return openapi.UndoneFinding{
		Point: openapi.PointCode(u.Point), Severity: openapi.Severity(u.Severity), Says: u.Text,
		Missing: All(u.Missing, SuggestedWork),
	}
}

// SuggestedWork returns the work that a rule calls for.
func SuggestedWork(k catalogue.Call) openapi.SuggestedWork {
	return openapi.SuggestedWork{
		Operation: string(k.Operation), Group: k.Group, Option: k.Option,
	}
}
