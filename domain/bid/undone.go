package bid

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
)

// Undone is a finding that calls for work at this or a deeper depth and that a scope leaves as it
// is: the buyer of the instrument will find it so.
type Undone struct {
	Point    catalogue.PointCode `json:"point"`
	Severity catalogue.Severity  `json:"severity"`
	Text     string              `json:"says"`
	// Calls are the operations that would deal with it, at the shallowest depth that does; none where
	// no depth does.
	Calls []catalogue.Code `json:"calls"`
	// Priced reports whether money was taken off the sale price for it.
	Priced bool `json:"priced"`
}

// undone returns the findings that the scope leaves as they are, in the order of the survey points.
// A defect at a point that the scope deals with is refused, since it would be paid for twice.
func (d *depthScopes) undone(s scope.Scope, defects []Defect) ([]Undone, error) {
	var list []Undone
	depths := catalogue.Depths[slices.Index(catalogue.Depths, s.Depth):]
	for _, j := range d.js {
		if j.Severity != catalogue.Attention && j.Severity != catalogue.MustAct ||
			len(callsFor(s, j.Point)) > 0 {
			continue
		}
		var calls []catalogue.Code
		for _, depth := range depths {
			whole, err := d.scope(depth, nil)
			if err != nil {
				return nil, err
			}
			if calls = callsFor(whole, j.Point); len(calls) > 0 {
				break
			}
		}
		// What no depth deals with counts only where it is bad, and isn't already told as a stop.
		if len(calls) == 0 && (j.Severity != catalogue.MustAct || d.in.stoppedAt(j.Point)) {
			continue
		}
		list = append(list, Undone{
			Point: j.Point, Severity: j.Severity, Text: j.Text, Calls: calls,
			Priced: slices.ContainsFunc(defects, func(x Defect) bool { return x.Point == j.Point }),
		})
	}
	var f domain.Faults
	for i, x := range defects {
		if x.Point != "" &&
			!slices.ContainsFunc(list, func(u Undone) bool { return u.Point == x.Point }) {
			f.Add(fmt.Sprintf("#/defects/%d/point", i),
				"must be a point left undone at this depth: %s is sound, not looked at, or dealt with",
				x.Point)
		}
	}
	return list, f.Err()
}

// callsFor returns the operations of a scope that a point is a reason for.
func callsFor(s scope.Scope, p catalogue.PointCode) []catalogue.Code {
	var list []catalogue.Code
	for _, l := range s.Lines {
		if slices.ContainsFunc(l.Reasons, func(r scope.Reason) bool {
			return slices.Contains(r.Points, p)
		}) {
			list = append(list, l.Operation)
		}
	}
	return list
}
