package catalogue

import "slices"

// HoldsOnAnother reports whether the condition would hold of an instrument with the same findings
// and the same work, but of another kind, finish, colour, owner and the like: clauses that ask for
// nothing else are left out.
func (e Expr) HoldsOnAnother(f Facts) bool {
	return !slices.ContainsFunc(e.clauses, func(clause []term) bool {
		asksMore := slices.ContainsFunc(clause, func(t term) bool {
			return t.ofPoint() || t.kind == termOperation || t.kind == termOption || t.kind == termDepth
		})
		return asksMore && !slices.ContainsFunc(clause, func(t term) bool { return t.holds(f) })
	})
}
