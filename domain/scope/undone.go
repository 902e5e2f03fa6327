package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// Undone is a finding that the rules of the depth, or of a shallower one, call for work on, some of
// which the scope doesn't do.
type Undone struct {
	Point    catalogue.PointCode
	Severity catalogue.Severity
	Text     string           // what was found
	Missing  []catalogue.Call // what is called for and isn't done
}

// undone returns the findings that the edited scope leaves undone, in the order of the survey's
// points. A rule counts that holds of the edited scope, and one that held of the plain scope unless
// other work has made it pointless.
func (p *distribution) undone(plain, s Scope) []Undone {
	missing := map[catalogue.PointCode][]target{}
	met := map[catalogue.PointCode]bool{} // by a rule that holds of the edited scope
	note := func(point catalogue.PointCode, lacks []target) {
		for _, t := range lacks {
			if !slices.Contains(missing[point], t) {
				missing[point] = append(missing[point], t)
			}
		}
	}
	var before []findingRule
	for _, r := range p.findingRules() {
		if !p.holdsOf(r.work, s) {
			before = append(before, r)
			continue
		}
		lacks := p.lacking(r.calls, s)
		for _, point := range r.points {
			note(point, lacks)
			met[point] = met[point] || len(lacks) == 0
		}
	}
	for _, r := range before {
		if !p.heldBefore(r.work, plain, s) {
			continue
		}
		lacks := p.lacking(r.calls, s)
		for _, point := range r.points {
			if !met[point] {
				note(point, lacks)
			}
		}
	}
	var list []Undone
	for i := range p.c.Points {
		point := p.c.Points[i].Code
		if len(missing[point]) == 0 {
			continue
		}
		j := p.judgements[point]
		x := Undone{Point: point, Severity: j.Severity, Text: j.Text}
		for _, t := range missing[point] {
			x.Missing = append(x.Missing, p.call(t))
		}
		list = append(list, x)
	}
	return list
}

// findingRule is a rule that calls for work because of what was found at some points, if other work
// is there or not: of each list in work one term must hold.
type findingRule struct {
	points []catalogue.PointCode
	work   [][]workTerm
	calls  []target
}

// findingRules returns the rules of the depth and of shallower ones whose findings were made; those
// that hang on points that nobody looked at are left out.
func (e *engine) findingRules() []findingRule {
	depths := catalogue.Depths[:slices.Index(catalogue.Depths, e.depth)+1]
	known := e.known()
	var list []findingRule
	for i := range e.c.Rules {
		r := &e.c.Rules[i]
		if r.Suggest || !slices.ContainsFunc(r.Depths, func(d catalogue.Depth) bool {
			return slices.Contains(depths, d)
		}) {
			continue
		}
		expr := e.c.Expr(r.When)
		left, possible := expr.Residual(known, e.open)
		if !possible || slices.ContainsFunc(left, catalogue.Clause.AsksPoints) {
			continue
		}
		x := findingRule{calls: e.targets(r.Calls)}
		for _, point := range expr.Evidence(known) {
			if s := e.judgements[point].Severity; s == catalogue.Attention || s == catalogue.MustAct {
				x.points = append(x.points, point)
			}
		}
		if len(x.points) == 0 {
			continue
		}
		for _, clause := range left {
			x.work = append(x.work, e.workTerms(clause))
		}
		list = append(list, x)
	}
	return list
}

// holdsOf reports whether a finished scope has, or lacks, the work that a rule asks for.
func (e *engine) holdsOf(work [][]workTerm, s Scope) bool {
	for _, clause := range work {
		if !slices.ContainsFunc(clause, func(t workTerm) bool {
			return e.hasWork(s, t.target) != t.denied
		}) {
			return false
		}
	}
	return true
}

// heldBefore reports whether the plain scope has the work that a rule asks for and no work of the
// edited one has made the rule pointless: what it asks to be absent is absent from both.
func (e *engine) heldBefore(work [][]workTerm, plain, s Scope) bool {
	for _, clause := range work {
		if !slices.ContainsFunc(clause, func(t workTerm) bool {
			if t.denied {
				return !e.hasWork(plain, t.target) && !e.hasWork(s, t.target)
			}
			return e.hasWork(plain, t.target)
		}) {
			return false
		}
	}
	return true
}

// lacking returns what a scope lacks of some calls: operations that it doesn't have, and what is
// missing of options at least as thorough as those that are called for.
func (e *engine) lacking(calls []target, s Scope) []target {
	var list []target
	for _, t := range calls {
		if t.group != none {
			list = append(list, e.lackingOf(t, s)...)
			continue
		}
		if op := t.operation; op != none && e.possible[op] && s.line(e.code(op)) == nil &&
			!e.outdone(op, s) {
			list = append(list, t)
		}
	}
	return list
}

// lackingOf returns an option that is called for where its choice is settled on less or not at all,
// else what the buyer left out of the option that is taken.
func (e *engine) lackingOf(t target, s Scope) []target {
	choice := e.choices[t.group]
	settled := optionIndex(choice.Choice, s.Settled[choice.Group])
	if settled < t.option {
		return []target{t}
	}
	var list []target
	for _, op := range choice.options[settled].operations {
		if e.possible[op] && s.line(e.code(op)) == nil {
			list = append(list, target{op, none, none})
		}
	}
	return list
}

// outdone reports whether a choice is settled on a more thorough option than any that admits the
// operation: a new board has no cracks to shim.
func (e *engine) outdone(op int, s Scope) bool {
	for _, ref := range e.admittedBy[op] {
		choice := e.choices[ref.group].Choice
		if optionIndex(choice, s.Settled[choice.Group]) <= ref.option {
			return false
		}
	}
	return len(e.admittedBy[op]) > 0
}

// call returns what a target asks for.
func (e *engine) call(t target) catalogue.Call {
	if t.group == none {
		return catalogue.Call{Operation: e.code(t.operation)}
	}
	choice := e.choices[t.group]
	return catalogue.Call{Group: choice.Group, Option: choice.Options[t.option].Name}
}
