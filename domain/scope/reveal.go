package scope

import (
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
)

// decidingBranches returns the branches with an operation, of those doubts that decide on it by
// themselves: among their neighbours, some contain it and some don't.
func (p *distribution) decidingBranches(op int, neighbours [][]*draft) []Branch {
	var list []Branch
	for i := range p.doubts {
		x := &p.doubts[i]
		there, missing := false, false
		for _, d := range neighbours[i] {
			there = there || d != nil && d.present[op]
			missing = missing || d != nil && !d.present[op]
		}
		if x.line != none || !there || !missing {
			continue
		}
		for j, d := range neighbours[i] {
			if d != nil && d.present[op] {
				b := x.branches[j]
				list = append(list, Branch{Point: x.point, Severity: b.severity, Odds: b.odds})
			}
		}
	}
	return list
}

// branchesFromReasons returns all branches but the soundest of the points in a line's reasons, and
// in those of the lines that it accompanies. It serves lines that only several doubts together
// decide on.
func (p *distribution) branchesFromReasons(s *Scope, code catalogue.Code) []Branch {
	asked := map[catalogue.PointCode]bool{}
	seen := map[catalogue.Code]bool{}
	for open := []catalogue.Code{code}; len(open) > 0; open = open[1:] {
		i := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == open[0] })
		if i < 0 || seen[open[0]] || s.Lines[i].Chance.Equal(domain.One) {
			continue
		}
		seen[open[0]] = true
		for _, r := range s.Lines[i].Reasons {
			for _, point := range r.Points {
				asked[point] = true
			}
			open = append(open, r.From)
		}
	}
	var list []Branch
	for i := range p.doubts {
		x := &p.doubts[i]
		for _, b := range x.branches[1:] {
			if x.line == none && asked[x.point] && x.matters() && b.ppm > 0 {
				list = append(list, Branch{Point: x.point, Severity: b.severity, Odds: b.odds})
			}
		}
	}
	return list
}

// pointRevealedBy returns the operation after which a point's state is known: the one named by a
// rule that asks whether nobody looked, a rule that holds in the planned draft first; else the
// booking in.
func (p *distribution) pointRevealedBy(point catalogue.PointCode, planned *draft) catalogue.Code {
	facts := planned.facts(p.known())
	var by catalogue.Code
	for i := range p.rules {
		r := &p.rules[i]
		if r.RevealedBy == "" || !p.c.AsksUnknown(r.Rule, point) {
			continue
		}
		if p.c.Expr(r.When).Holds(facts) {
			return r.RevealedBy
		}
		if by == "" {
			by = r.RevealedBy
		}
	}
	record := p.c.OperationMarked(catalogue.RecordMark)
	if at := p.c.Position(record); by == "" && at >= 0 && p.possible[at] {
		by = record
	}
	return by
}

// lineRevealedBy returns the operation after which it is known whether a line is needed: the last
// of those that reveal its points, or, where no few points decide, of those that reveal any. What
// would only show after the line itself is looked for on booking in, the operation record.
func (s *Scope) lineRevealedBy(l *Line, record catalogue.Code) catalogue.Code {
	at := func(code catalogue.Code) int {
		return slices.IndexFunc(s.Lines, func(x Line) bool { return x.Operation == code })
	}
	last := -1
	for _, d := range s.Doubts {
		decides := func(b Branch) bool { return b.Point == d.Point }
		if len(l.Branches) > 0 && !slices.ContainsFunc(l.Branches, decides) {
			continue
		}
		by := d.RevealedBy
		if by == l.Operation || at(by) < 0 {
			by = record
		}
		last = max(last, at(by))
	}
	if last < 0 || s.Lines[last].Operation == l.Operation {
		return ""
	}
	return s.Lines[last].Operation
}
