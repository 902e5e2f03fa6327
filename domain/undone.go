package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// Undone is a finding that calls for work at this or a deeper depth and has no
// line in a scope: whoever buys the instrument finds it so.
type Undone struct {
	Point    catalogue.PointCode `json:"point"`
	Severity catalogue.Severity  `json:"severity"`
	Says     string              `json:"says"`
	// Calls are the operations that would deal with it, at the least deep depth
	// that does.
	Calls []catalogue.Code `json:"calls"`
	// Priced says that money was taken off the sale price for it.
	Priced bool `json:"priced"`
}

// deeper draws what the depths would do. What the rules alone call for is drawn
// once a depth.
type deeper struct {
	c     *catalogue.Catalogue
	in    BidInputs
	js    Judgements
	drawn map[catalogue.Depth]Scope
}

func (d *deeper) scope(depth catalogue.Depth, edits []Edit) (Scope, error) {
	if s, ok := d.drawn[depth]; ok && len(edits) == 0 {
		return s, nil
	}
	s, err := Draw(d.c, d.in.Instrument, d.js, depth, edits, d.in.Workshop.Terms.UnknownOdds)
	if err != nil || len(edits) > 0 {
		return s, err
	}
	if d.drawn == nil {
		d.drawn = map[catalogue.Depth]Scope{}
	}
	d.drawn[depth] = s
	return s, nil
}

// undone are the findings that the scope leaves as they are, in the order of
// the survey points. A defect that names a point which is dealt with is refused:
// it would be paid for twice.
func (d *deeper) undone(s Scope, defects []Defect) ([]Undone, error) {
	var list []Undone
	depths := catalogue.Depths[slices.Index(catalogue.Depths, s.Depth):]
	for _, j := range d.js {
		if j.Severity != catalogue.Attention && j.Severity != catalogue.MustAct || len(callsFor(s, j.Point)) > 0 {
			continue
		}
		for _, depth := range depths {
			whole, err := d.scope(depth, nil)
			if err != nil {
				return nil, err
			}
			if calls := callsFor(whole, j.Point); len(calls) > 0 {
				priced := slices.ContainsFunc(defects, func(x Defect) bool { return x.Point == j.Point })
				list = append(list, Undone{Point: j.Point, Severity: j.Severity, Says: j.Says, Calls: calls, Priced: priced})
				break
			}
		}
	}
	var f Faults
	for i, x := range defects {
		if x.Point != "" && !slices.ContainsFunc(list, func(u Undone) bool { return u.Point == x.Point }) {
			f.Add(fmt.Sprintf("#/defects/%d/point", i), "%s is not left undone at this depth: it was found sound, not looked at, or is dealt with", x.Point)
		}
	}
	return list, f.Err()
}

// callsFor are the operations of a scope that stand in it for a point.
func callsFor(s Scope, p catalogue.PointCode) []catalogue.Code {
	var list []catalogue.Code
	for _, l := range s.Lines {
		if slices.ContainsFunc(l.Reasons, func(r Reason) bool { return slices.Contains(r.Points, p) }) {
			list = append(list, l.Operation)
		}
	}
	return list
}
