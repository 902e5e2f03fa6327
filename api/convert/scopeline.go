package convert

import (
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/openapi"
)

// ScopeLine returns one piece of work of a scope, with its reasons.
func ScopeLine(l scope.Line) openapi.ScopeLine {
	return openapi.ScopeLine{
		Operation: string(l.Operation), Name: l.Name, Skill: l.Skill, Driver: l.Driver,
		Quantity: l.Quantity, Basis: openapi.ScopeLineBasis(l.Basis),
		Formula: instrument.WithCaveat(l.Driver, l.Basis, l.Formula),
		Hours:   ThreePoint(l.Hours), Making: openapi.Making(l.Making), Chance: l.Chance,
		CountedIn:  openapi.ScopeLineCountedIn(l.CountedIn),
		RevealedBy: string(l.RevealedBy), Branches: All(l.Branches, renderDoubtBranch),
		Expected: l.Expected, Sessions: l.Sessions, Reasons: All(l.Reasons, Reason),
		Cautions: l.Cautions, Standing: string(l.Standing), Edited: l.Edited,
	}
}

// Reason returns why a line is there.
func Reason(r scope.Reason) openapi.Reason {
	return openapi.Reason{
		Rule: r.Rule, Points: Texts[catalogue.PointCode, openapi.PointCode](r.Points),
		From: string(r.From), Says: r.Text,
	}
}
