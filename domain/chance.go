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
	for i, x := range v.doubts {
		if x.point == "" || !x.matters() {
			continue
		}
		d := Doubt{Point: x.point, RevealedBy: v.revealOf(x.point, planned)}
		for j, b := range x.branches {
			way := DoubtWay{Severity: b.severity, Odds: b.odds}
			if other := beside[i][j]; other != nil {
				way.Adds, way.Drops = v.lacking(other, base.sketch), v.lacking(base.sketch, other)
			}
			d.Ways = append(d.Ways, way)
		}
		s.Doubts = append(s.Doubts, d)
	}
	var worst [][]*sketch
	for i := range s.Lines {
		l := &s.Lines[i]
		if l.Chance.Equal(one) {
			continue
		}
		l.Branches = v.branchesOf(l.Operation, beside)
		if len(l.Branches) == 0 {
			if worst == nil {
				worst = v.besides(v.worst())
			}
			l.Branches = v.branchesOf(l.Operation, worst)
		}
		l.RevealedBy = s.revealOf(l)
	}
}

// worst is the world in which everything open comes out worst.
func (d *drawer) worst() world {
	w := d.soundest()
	w.mark = ""
	for i, x := range d.doubts {
		at := len(x.branches) - 1
		w.choice[i] = uint8(at) //nolint:gosec // a doubt has three branches at most
		w.mark = w.mark.with(x.branches[at].mark)
	}
	return w
}

// besides are the sketches of the worlds that differ from one in a single
// doubt, by doubt and branch; nil for a branch without odds.
func (v *view) besides(base world) [][]*sketch {
	list := make([][]*sketch, len(v.doubts))
	for i, x := range v.doubts {
		list[i] = make([]*sketch, len(x.branches))
		if !x.matters() {
			continue
		}
		for j, b := range x.branches {
			if !b.odds.IsPositive() {
				continue
			}
			w := world{choice: slices.Clone(base.choice)}
			w.choice[i] = uint8(j) //nolint:gosec // a doubt has three branches at most
			for k, y := range v.doubts {
				w.mark = w.mark.with(y.branches[w.choice[k]].mark)
			}
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
	for i := range v.c.Operations {
		if code := v.c.Operations[i].Code; a.present[code] && !b.present[code] {
			list = append(list, code)
		}
	}
	return list
}

// branchesOf are the ways of those doubts that decide on a line by themselves
// in which it is there.
func (v *view) branchesOf(code catalogue.Code, beside [][]*sketch) []Branch {
	var list []Branch
	for i, x := range v.doubts {
		there, missing := false, false
		for _, s := range beside[i] {
			there = there || s != nil && s.present[code]
			missing = missing || s != nil && !s.present[code]
		}
		if x.point == "" || !there || !missing {
			continue
		}
		for j, s := range beside[i] {
			if s != nil && s.present[code] {
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
	facts := planned.facts()
	judged := facts.Severity
	facts.Severity = func(q catalogue.PointCode) catalogue.Severity {
		if q == p {
			return catalogue.Unknown
		}
		return judged(q)
	}
	var by catalogue.Code
	for i := range v.rules {
		r := &v.rules[i]
		if r.RevealedBy == "" || !v.c.AsksUnknown(r.Rule, p) {
			continue
		}
		if r.expr.Holds(facts) {
			return r.RevealedBy
		}
		if by == "" {
			by = r.RevealedBy
		}
	}
	if by == "" && v.possible(recordOperation) {
		by = recordOperation
	}
	return by
}

// revealOf is the operation after which it is known whether a line is needed:
// the last of those that reveal the points it hangs on. What only shows after
// the line itself is looked for on booking in.
func (s *Scope) revealOf(l *Line) catalogue.Code {
	at := func(code catalogue.Code) int {
		return slices.IndexFunc(s.Lines, func(x Line) bool { return x.Operation == code })
	}
	last := -1
	for _, b := range l.Branches {
		i := slices.IndexFunc(s.Doubts, func(d Doubt) bool { return d.Point == b.Point })
		if i < 0 {
			continue
		}
		by := s.Doubts[i].RevealedBy
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
