package catalogue

import "strings"

// Clause is what is left of a clause of a Condition once everything settled is
// taken out of it: it holds as soon as one point or one piece of work does.
type Clause struct {
	Work   []WorkTerm
	points []term
}

// WorkTerm asks for an operation in the scope, or for a choice to be settled on
// an option; the other fields are empty. Denied asks for the contrary.
type WorkTerm struct {
	Denied    bool
	Operation Code
	Group     string
	Option    string
}

// AsksPoints reports whether open points can make the clause hold.
func (c Clause) AsksPoints() bool { return len(c.points) > 0 }

// HeldBy reports whether a point makes the clause hold, by the facts.
func (c Clause) HeldBy(p PointCode, f Facts) bool {
	for _, t := range c.points {
		if t.subject == string(p) && t.holds(f) {
			return true
		}
	}
	return false
}

// Points spells what the clause asks of open points: of the same spelling, the
// same points make it hold.
func (c Clause) Points() string {
	terms := make([]string, len(c.points))
	for i, t := range c.points {
		terms[i] = t.String()
	}
	return strings.Join(terms, "|")
}

// Open is what is left of e once facts are settled but for points that are open
// and for the work of the scope: every clause must hold. It is false where e
// cannot hold any more; no clauses mean that it holds whatever comes.
func (e Expr) Open(f Facts, open func(PointCode) bool) (left []Clause, possible bool) {
	for _, clause := range e.clauses {
		settled := false
		var c Clause
		for _, t := range clause {
			switch {
			case t.kind == termOperation:
				c.Work = append(c.Work, WorkTerm{Denied: t.denied, Operation: Code(t.subject)})
			case t.kind == termOption:
				c.Work = append(c.Work, WorkTerm{Denied: t.denied, Group: t.subject, Option: t.value})
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
