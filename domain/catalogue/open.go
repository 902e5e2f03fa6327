package catalogue

import "strings"

// Clause is a clause of a Condition after partial evaluation: it holds if one of its open points,
// or one piece of its work, makes it hold.
type Clause struct {
	Work   []WorkTerm
	points []term
}

// WorkTerm asks for an operation in the scope, or for a choice to be settled on an option; the
// other fields are empty. Negated asks for the contrary.
type WorkTerm struct {
	Negated   bool
	Operation Code
	Group     string
	Option    string
}

// AsksPoints reports whether open points can make the clause hold.
func (c Clause) AsksPoints() bool { return len(c.points) > 0 }

// SatisfiedBy reports whether a point makes the clause hold under the facts.
func (c Clause) SatisfiedBy(p PointCode, f Facts) bool {
	for _, t := range c.points {
		if t.subject == string(p) && t.holds(f) {
			return true
		}
	}
	return false
}

// PointTerms returns what the clause asks of open points, as text. Clauses with equal texts are
// satisfied by the same points.
func (c Clause) PointTerms() string {
	terms := make([]string, len(c.points))
	for i, t := range c.points {
		terms[i] = t.String()
	}
	return strings.Join(terms, "|")
}

// Residual evaluates e as far as the facts go and returns the clauses that depend on open points or
// on the work of the scope, all of which must hold. It returns false if e can't hold any more;
// without clauses, e holds in any case.
func (e Expr) Residual(f Facts, open func(PointCode) bool) (left []Clause, possible bool) {
	for _, clause := range e.clauses {
		settled := false
		var c Clause
		for _, t := range clause {
			switch {
			case t.kind == termOperation:
				c.Work = append(c.Work, WorkTerm{Negated: t.negated, Operation: Code(t.subject)})
			case t.kind == termOption:
				c.Work = append(
					c.Work, WorkTerm{Negated: t.negated, Group: t.subject, Option: t.value},
				)
			case t.ofPoint() && open(PointCode(t.subject)):
				c.points = append(c.points, t)
			default:
				settled = settled || t.holds(f)
			}
		}
		switch {
		case settled:
		case len(c.Work)+len(c.points) == 0:
			return nil, false
		default:
			left = append(left, c)
		}
	}
	return left, true
}

func (t term) ofPoint() bool {
	switch t.kind {
	case termSeverity, termAtLeast, termSide, termAnswer:
		return true
	default:
		return false
	}
}

// SideAsked returns the side of a point that the first rule which calls for work asks for, or
// Within if no rule asks.
func (c *Catalogue) SideAsked(p PointCode) Side {
	for i := range c.Rules {
		r := &c.Rules[i]
		if r.Suggest {
			continue
		}
		for _, clause := range c.Expr(r.When).clauses {
			for _, t := range clause {
				if t.kind == termSide && !t.negated && t.subject == string(p) {
					return Side(t.value)
				}
			}
		}
	}
	return Within
}

// AsksUnknown reports whether the rule asks for the point to be unknown.
func (c *Catalogue) AsksUnknown(r *Rule, p PointCode) bool {
	for _, clause := range c.Expr(r.When).clauses {
		for _, t := range clause {
			if t.kind == termSeverity && !t.negated && t.value == string(Unknown) &&
				t.subject == string(p) {
				return true
			}
		}
	}
	return false
}
