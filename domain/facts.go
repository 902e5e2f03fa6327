package domain

import "bentside/domain/catalogue"

// factsOf are the facts of an instrument and its survey that the catalogue's
// conditions are held against. Of points without a judgement nothing is known.
func factsOf(in Instrument, depth catalogue.Depth, js map[catalogue.PointCode]Judgement) catalogue.Facts {
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

// byPoint finds judgements by their points.
func (js Judgements) byPoint() map[catalogue.PointCode]Judgement {
	m := make(map[catalogue.PointCode]Judgement, len(js))
	for _, j := range js {
		m[j.Point] = j
	}
	return m
}

// scopeFacts are the facts of an instrument, its survey and a finished scope.
func scopeFacts(in Instrument, js Judgements, s Scope) catalogue.Facts {
	present := make(map[catalogue.Code]bool, len(s.Lines))
	for i := range s.Lines {
		present[s.Lines[i].Operation] = true
	}
	f := factsOf(in, s.Depth, js.byPoint())
	f.InScope = func(code catalogue.Code) bool { return present[code] }
	f.Settled = func(group string) string { return s.Settled[group] }
	return f
}
