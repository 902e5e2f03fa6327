package domaintest

import (
	"slices"
	"testing"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// OddsOf returns odds written as decimals, which add up to one.
func OddsOf(sound, attention, mustAct string) domain.Odds {
	return domain.Odds{Sound: Dec(sound), Attention: Dec(attention), MustAct: Dec(mustAct)}
}

// SameOdds returns the same odds for every point.
func SameOdds(sound, attention, mustAct string) domain.UnknownOdds {
	return domain.UnknownOdds{Default: OddsOf(sound, attention, mustAct)}
}

// SoundButUnknown judges a survey of which everything is sound but for points that nobody looked
// at.
func SoundButUnknown(
	t testing.TB, c *catalogue.Catalogue, in instrument.Instrument, unknown ...catalogue.PointCode,
) survey.Judgements {
	t.Helper()
	findings := slices.DeleteFunc(
		SoundSurvey(c, in.Kind),
		func(f survey.Finding) bool { return slices.Contains(unknown, f.Point) },
	)
	js, err := survey.Judge(c, in.Kind, findings)
	if err != nil {
		t.Fatal(err)
	}
	return js
}

// Draw returns the scope of an instrument at a depth, which must be one that can be drawn.
func Draw(
	t testing.TB, c *catalogue.Catalogue, in instrument.Instrument, js survey.Judgements,
	depth catalogue.Depth, odds domain.UnknownOdds, edits ...scope.Edit,
) scope.Scope {
	t.Helper()
	s, err := scope.Draw(c, in, js, depth, edits, odds)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Inputs returns what a scope of Grand is drawn from, with one finding.
func Inputs(t testing.TB, depth catalogue.Depth, edits ...scope.Edit) scope.Inputs {
	t.Helper()
	c := Shipped(t)
	findings := []survey.Finding{Number("SV-39", "1.6", "mm")}
	terms := Terms(c)
	terms.UnknownOdds = Odds
	return scope.Inputs{
		Catalogue: c, Instrument: Grand(),
		Judgements: Judged(t, c, Grand(), findings), Terms: terms, Depth: depth, Edits: edits,
	}
}
