package catalogue

import "strings"

// Clause is what a clause of a Condition asks of points that are open.
type Clause struct {
	terms []term
}

// HeldBy reports whether one of the clause's terms is about the point and true
// of the facts.
func (c Clause) HeldBy(p PointCode, f Facts) bool {
	for _, t := range c.terms {
		if t.subject == string(p) && t.holds(f) {
			return true
		}
	}
	return false
}

// String tells clauses apart: two of the same text are held by the same points.
func (c Clause) String() string {
	terms := make([]string, len(c.terms))
	for i, t := range c.terms {
		terms[i] = t.String()
	}
	return strings.Join(terms, "|")
}

// Openness is how far a condition is decided while points are open.
type Openness struct {
	// Never: it cannot hold, however they are found and whatever is in the scope.
	Never bool
	// Always: it holds, however they are found and whatever is in the scope.
	Always bool
	// Clauses are those that are decided by open points, or by them beside what
	// is in the scope.
	Clauses []Clause
}

// Open says what of e hangs on points that are open, given facts that are
// settled. What is in the scope counts as open too, but makes no Clause.
func (e Expr) Open(f Facts, open func(PointCode) bool) Openness {
	o := Openness{Always: true}
	for _, clause := range e.clauses {
		settled, dynamic := false, false
		var hangs Clause
		for _, t := range clause {
			switch {
			case t.kind == termOperation, t.kind == termOption:
				dynamic = true
			case t.ofPoint() && open(PointCode(t.subject)):
				hangs.terms = append(hangs.terms, t)
			case t.holds(f):
				settled = true
			}
		}
		switch {
		case settled:
			continue
		case len(hangs.terms) > 0:
			o.Clauses = append(o.Clauses, hangs)
		case !dynamic:
			return Openness{Never: true}
		}
		o.Always = false
	}
	return o
}

func (t term) ofPoint() bool {
	switch t.kind {
	case termSeverity, termAtLeast, termSide, termAnswer:
		return true
	default:
		return false
	}
}

// SideAsked is the side of a point that the first rule which calls for work
// asks for; Within where none asks.
func (c *Catalogue) SideAsked(p PointCode) Side {
	for i := range c.Rules {
		r := &c.Rules[i]
		if r.Suggest {
			continue
		}
		for _, clause := range c.Expr(r.When).clauses {
			for _, t := range clause {
				if t.kind == termSide && !t.denied && t.subject == string(p) {
					return Side(t.value)
				}
			}
		}
	}
	return Within
}

// AsksUnknown reports whether the rule asks for the point not to have been
// looked at.
func (c *Catalogue) AsksUnknown(r *Rule, p PointCode) bool {
	for _, clause := range c.Expr(r.When).clauses {
		for _, t := range clause {
			if t.kind == termSeverity && !t.denied && t.value == string(Unknown) && t.subject == string(p) {
				return true
			}
		}
	}
	return false
}

// Conditions are those beside the rules': of companions, refused options and
// materials.
func (c *Catalogue) Conditions() []Condition {
	var list []Condition
	for _, at := range conditions(c) {
		if at.at.table != rulesTable {
			list = append(list, at.condition)
		}
	}
	return list
}
