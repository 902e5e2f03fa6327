package scope

import (
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/survey"
)

// FactsOf returns what the catalogue's conditions ask about an instrument and its survey. A point
// without a judgement is Unknown.
func FactsOf(
	in instrument.Instrument, depth catalogue.Depth, js map[catalogue.PointCode]survey.Judgement,
) catalogue.Facts {
	return catalogue.Facts{
		Depth: depth, Kind: in.Kind, Owner: string(in.Owner), Finish: in.Finish, Colour: in.Colour,
		Covering: in.Covering, Action: in.Action, Decorated: in.Decorated, Year: in.Year,
		Severity: func(p catalogue.PointCode) catalogue.Severity {
			if j, ok := js[p]; ok {
				return j.Severity
			}
			return catalogue.Unknown
		},
		Answer: func(p catalogue.PointCode) string { return js[p].Answer },
		Side:   func(p catalogue.PointCode) catalogue.Side { return js[p].Side },
	}
}

// scopeFacts returns the facts of an instrument, its survey and a finished scope.
func scopeFacts(in instrument.Instrument, js survey.Judgements, s Scope) catalogue.Facts {
	present := make(map[catalogue.Code]bool, len(s.Lines))
	for i := range s.Lines {
		present[s.Lines[i].Operation] = true
	}
	f := FactsOf(in, s.Depth, js.ByPoint())
	f.InScope = func(code catalogue.Code) bool { return present[code] }
	f.Settled = func(group string) string { return s.Settled[group] }
	return f
}
