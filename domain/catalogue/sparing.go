package catalogue

import "slices"

// A finding spares work where a rule calls for it only if the point isn't as bad as it is, and the
// work can't be done on a bad one: no glue goes into a parted plank. One that is bad at the end
// that a rule doesn't ask for spares what that calls for: keys that run too freely get no bushings
// eased. That is right for the work and wrong for a price, which such a finding must not raise.
//
// What explains another finding spares nothing. Worn hammers beside a short ring are a reason to
// believe in the board, and the price may say so.

// Hinders returns the points at which a finding refuses an option that the rule calls for.
func (c *Catalogue) Hinders(r *Rule) []PointCode {
	var list []PointCode
	for _, k := range r.Calls {
		choice := c.Choice(k.Group)
		if choice == nil {
			continue
		}
		for _, o := range choice.Options {
			if o.Name == k.Option {
				list = append(list, c.Expr(o.Refused).Points()...)
			}
		}
	}
	return list
}

// Unsparing returns the condition of a rule without what a bad finding spares: a term that asks for
// one of the points that hinder its work not to be bad holds however bad that is, one about a
// severity holds of a worse one, and one about the worse side of a point also of what must be acted
// on at the other.
func (e Expr) Unsparing(worseSide func(PointCode) Side, hinder []PointCode) Expr {
	x := Expr{clauses: make([][]term, len(e.clauses))}
	for i, clause := range e.clauses {
		for _, t := range clause {
			if t.ofSide(worseSide) {
				onEither := term{kind: termAtLeast, subject: t.subject, value: string(MustAct)}
				x.clauses[i] = append(x.clauses[i], onEither)
			}
			x.clauses[i] = append(x.clauses[i], t.unsparing(hinder))
		}
	}
	return x
}

// ofSide reports whether a term asks for the worse side of its point.
func (t term) ofSide(worseSide func(PointCode) Side) bool {
	return t.kind == termSide && !t.negated && Side(t.value) == worseSide(PointCode(t.subject))
}

func (t term) unsparing(hinder []PointCode) term {
	if t.spares(hinder) {
		return term{kind: termAlways}
	}
	bad := t.value == string(Attention) || t.value == string(MustAct)
	if t.kind == termSeverity && bad && !t.negated {
		t.kind = termAtLeast
	}
	return t
}

// spares reports whether a term asks for one of some points not to be bad.
func (t term) spares(hinder []PointCode) bool {
	switch t.kind {
	case termSeverity, termAtLeast, termSide:
		return t.negated && t.value != string(Sound) && t.value != string(Unknown) &&
			slices.Contains(hinder, PointCode(t.subject))
	default:
		return false
	}
}

// Spares returns those of some points at which a bad finding makes e false.
func (e Expr) Spares(hinder []PointCode) []PointCode {
	var list []PointCode
	for _, clause := range e.clauses {
		for _, t := range clause {
			if p := PointCode(t.subject); t.spares(hinder) && !slices.Contains(list, p) {
				list = append(list, p)
			}
		}
	}
	return list
}

// Without returns the condition without its terms about some points; a clause of such terms alone
// never holds.
func (e Expr) Without(points []PointCode) Expr {
	x := Expr{clauses: make([][]term, len(e.clauses))}
	for i, clause := range e.clauses {
		x.clauses[i] = slices.DeleteFunc(slices.Clone(clause), func(t term) bool {
			return t.ofPoint() && slices.Contains(points, PointCode(t.subject))
		})
	}
	return x
}
