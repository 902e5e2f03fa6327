package scope

import (
	"bentside/domain/catalogue"
)

// condition is what is left of a catalogue's condition; every clause must hold.
type condition struct {
	never   bool
	clauses []clause
}

// clause holds where its predicate or one of its terms does.
type clause struct {
	bit  int // the predicate of open points; none: the clause doesn't depend on any
	work []workTerm
}

// workTerm asks whether the target is in the work, or is not.
type workTerm struct {
	denied bool
	target
}

// predicates are all questions about open points that can tell worlds apart, a bit of the signature
// each.
type predicates struct {
	index map[string]int // by name
	list  []func(catalogue.PointCode, catalogue.Facts) bool
}

// bit returns the bit of a predicate and adds the predicate where its name is new.
func (q *predicates) bit(name string, heldBy func(catalogue.PointCode, catalogue.Facts) bool) int {
	at, known := q.index[name]
	if !known {
		at = len(q.list)
		q.index[name] = at
		q.list = append(q.list, heldBy)
	}
	return at
}

// compileCondition evaluates a condition as far as the known facts go and compiles the rest.
func (e *engine) compileCondition(c catalogue.Condition, known catalogue.Facts) condition {
	return e.compile(e.expr(c), known)
}

func (e *engine) compile(expr catalogue.Expr, known catalogue.Facts) condition {
	left, possible := expr.Residual(known, e.open)
	compiled := condition{never: !possible}
	for _, l := range left {
		x := clause{bit: none}
		if l.AsksPoints() {
			x.bit = e.predicates.bit(l.PointTerms(), l.SatisfiedBy)
		}
		x.work = e.workTerms(l)
		compiled.clauses = append(compiled.clauses, x)
	}
	return compiled
}

func (e *engine) workTerms(c catalogue.Clause) []workTerm {
	var list []workTerm
	for _, t := range c.Work {
		asked := e.target(catalogue.Call{Operation: t.Operation, Group: t.Group, Option: t.Option})
		list = append(list, workTerm{t.Negated, asked})
	}
	return list
}
