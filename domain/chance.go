package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// recordOperation is when an instrument is booked in and measured as it came:
// what can be looked at without taking anything apart is known after it.
const recordOperation catalogue.Code = "IN-03"

// tell puts into a scope what its doubts would change, and into each line that
// is not certain the findings with which it is needed and the operation after
// which that is known.
func (v *view) tell(s *Scope, planned *sketch) {
	base := v.soundest()
	if _, err := v.draw(&base); err != nil {
		return // a world without odds, of which the edits make no sense
	}
	beside := v.besides(base)
	v.base, v.besideBase = base.sketch, beside
	for i := range v.doubts {
		x := &v.doubts[i]
		if x.line != none || !x.matters() {
			continue
		}
		d := Doubt{Point: x.point, RevealedBy: v.revealOf(x.point, planned)}
		for j, b := range x.branches {
			way := DoubtWay{Severity: b.severity, Odds: b.odds}
			if other := beside[i][j]; other != nil {
				way.Adds, way.Drops = v.lacking(other, base.sketch), v.lacking(base.sketch, other)
			}
			way.Hours = s.hoursOf(way)
			d.ExpectedHours = d.ExpectedHours.Add(b.odds.Mul(way.Hours.Likely))
			d.Ways = append(d.Ways, way)
		}
		d.ExpectedHours = d.ExpectedHours.Round(hourPlaces)
		s.Doubts = append(s.Doubts, d)
	}
	slices.SortStableFunc(s.Doubts, func(a, b Doubt) int { return b.ExpectedHours.Cmp(a.ExpectedHours) })
	var worst [][]*sketch
	for i := range s.Lines {
		l := &s.Lines[i]
		if l.Chance.Equal(one) {
			continue
		}
		l.Branches = v.branchesOf(v.c.Position(l.Operation), beside)
		if len(l.Branches) == 0 {
			if worst == nil {
				worst = v.besides(v.worst())
			}
			l.Branches = v.branchesOf(v.c.Position(l.Operation), worst)
		}
		if len(l.Branches) == 0 {
			l.Branches = v.branchesTold(s, l.Operation)
		}
		l.RevealedBy = s.revealOf(l)
	}
}

// hoursOf are the hours of the lines that a way adds, less those of the ones
// that it drops.
func (s *Scope) hoursOf(w DoubtWay) (h catalogue.ThreePoint) {
	for _, l := range s.Lines {
		switch {
		case slices.Contains(w.Adds, l.Operation):
			h.Low, h.Likely, h.High = h.Low.Add(l.Hours.Low), h.Likely.Add(l.Hours.Likely), h.High.Add(l.Hours.High)
		case slices.Contains(w.Drops, l.Operation):
			h.Low, h.Likely, h.High = h.Low.Sub(l.Hours.Low), h.Likely.Sub(l.Hours.Likely), h.High.Sub(l.Hours.High)
		}
	}
	return h
}

// branchesTold are the ways, but for the soundest, of the points that the
// reasons of a line name, and those of the lines that it accompanies: for a
// line that only several doubts together decide on.
func (v *view) branchesTold(s *Scope, code catalogue.Code) []Branch {
	asked := map[catalogue.PointCode]bool{}
	seen := map[catalogue.Code]bool{}
	for open := []catalogue.Code{code}; len(open) > 0; open = open[1:] {
		i := slices.IndexFunc(s.Lines, func(l Line) bool { return l.Operation == open[0] })
		if i < 0 || seen[open[0]] || s.Lines[i].Chance.Equal(one) {
			continue
		}
		seen[open[0]] = true
		for _, r := range s.Lines[i].Reasons {
			for _, p := range r.Points {
				asked[p] = true
			}
			open = append(open, r.From)
		}
	}
	var list []Branch
	for i := range v.doubts {
		x := &v.doubts[i]
		for _, b := range x.branches[1:] {
			if x.line == none && asked[x.point] && x.matters() && b.parts > 0 {
				list = append(list, Branch{Point: x.point, Severity: b.severity, Odds: b.odds})
			}
		}
	}
	return list
}

// besides are the sketches of the worlds that differ from one in a single
// doubt, by doubt and branch; nil for a branch without odds.
func (v *view) besides(base world) [][]*sketch {
	list := make([][]*sketch, len(v.doubts))
	for i := range v.doubts {
		x := &v.doubts[i]
		list[i] = make([]*sketch, len(x.branches))
		for j := range x.branches {
			if !x.matters() || x.branches[j].parts == 0 {
				continue
			}
			w := v.beside(base, []int{i}, j)
			if s, err := v.draw(&w); err == nil {
				list[i][j] = s
			}
		}
	}
	return list
}

// lacking are the operations of a that b doesn't have, in the order of the
// catalogue.
func (v *view) lacking(a, b *sketch) []catalogue.Code {
	var list []catalogue.Code
	for i := range a.present {
		if a.present[i] && !b.present[i] {
			list = append(list, v.code(i))
		}
	}
	return list
}

// branchesOf are the ways of those doubts that decide on a line by themselves
// in which it is there.
func (v *view) branchesOf(op int, beside [][]*sketch) []Branch {
	var list []Branch
	for i := range v.doubts {
		x := &v.doubts[i]
		there, missing := false, false
		for _, s := range beside[i] {
			there = there || s != nil && s.present[op]
			missing = missing || s != nil && !s.present[op]
		}
		if x.line != none || !there || !missing {
			continue
		}
		for j, s := range beside[i] {
			if s != nil && s.present[op] {
				list = append(list, Branch{Point: x.point, Severity: x.branches[j].severity, Odds: x.branches[j].odds})
			}
		}
	}
	return list
}

// revealOf is the operation after which a point is known: what a rule that
// asks for it not to have been looked at names, one that holds in the plan
// before others, else the booking in.
func (v *view) revealOf(p catalogue.PointCode, planned *sketch) catalogue.Code {
	facts := planned.facts(v.known())
	var by catalogue.Code
	for i := range v.rules {
		r := &v.rules[i]
		if r.RevealedBy == "" || !v.c.AsksUnknown(r.Rule, p) {
			continue
		}
		if v.c.Expr(r.When).Holds(facts) {
			return r.RevealedBy
		}
		if by == "" {
			by = r.RevealedBy
		}
	}
	if at := v.c.Position(recordOperation); by == "" && at >= 0 && v.possible[at] {
		by = recordOperation
	}
	return by
}

// revealOf is the operation after which it is known whether a line is needed:
// the last of those that reveal the points it hangs on, or all points in doubt
// where no few of them decide. What only shows after the line itself is looked
// for on booking in.
func (s *Scope) revealOf(l *Line) catalogue.Code {
	at := func(code catalogue.Code) int {
		return slices.IndexFunc(s.Lines, func(x Line) bool { return x.Operation == code })
	}
	last := -1
	for _, d := range s.Doubts {
		if len(l.Branches) > 0 && !slices.ContainsFunc(l.Branches, func(b Branch) bool { return b.Point == d.Point }) {
			continue
		}
		by := d.RevealedBy
		if by == l.Operation || at(by) < 0 {
			by = recordOperation
		}
		last = max(last, at(by))
	}
	if last < 0 || s.Lines[last].Operation == l.Operation {
		return ""
	}
	return s.Lines[last].Operation
}
