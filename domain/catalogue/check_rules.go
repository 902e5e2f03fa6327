package catalogue

import (
	"fmt"
	"slices"
)

func (k *checking) checkCompanions() {
	for i, m := range k.Companions {
		at := rowPosition{companionsTable, i}
		k.resolve(at, "when", m.When)
		k.checkCalls(at, m.Calls)
		if m.ID == "" || m.Reason == "" || len(m.Calls) == 0 {
			k.report(at, "must have an id, calls and a reason")
		}
		if m.Necessity != Needed && m.Necessity != Usual {
			k.reportIn("necessity", at, "necessity must be needed or usual, not %q", m.Necessity)
		}
		k.checkStandingIfGiven(at, m.Standing)
	}
}

func (k *checking) checkRules() {
	for i, r := range k.Rules {
		at := rowPosition{rulesTable, i}
		if r.ID == "" || r.Reason == "" {
			k.report(at, "must have an id and a reason")
		}
		if len(r.Depths) == 0 {
			k.report(at, "must name a depth")
		}
		for _, d := range r.Depths {
			if !slices.Contains(Depths, d) {
				k.report(at, "unknown depth %q; use as_found, recondition or restore", d)
			}
		}
		k.checkStanding(at, r.Standing)
		k.checkCalls(at, r.Calls)
		if len(r.Calls) == 0 && !r.Suggest {
			k.report(at, "must call for work or suggest something")
		}
		if r.RevealedBy != "" {
			k.resolve(at, "revealed_by", r.RevealedBy)
		}
		e, err := ParseCondition(string(r.When))
		if err != nil {
			continue // checkConditions reports it
		}
		if asks := e.asksUnknown(); !r.Suggest && asks != (r.RevealedBy != "") {
			k.report(at, "a rule on unknown points, and no other, must name the work that reveals them")
		}
		k.checkReach(i, e)
	}
}

// checkCalls checks that each call is an operation or an option that exists.
func (k *checking) checkCalls(at rowPosition, calls []Call) {
	for _, c := range calls {
		switch {
		case (c.Group == "") != (c.Option == "") || (c.Group == "") == (c.Operation == ""):
			k.report(at, "a call must be an operation, or a group with an option")
		case c.Group == "":
			k.resolve(at, "calls", c.Operation)
		case k.option(c.Group, c.Option) == nil:
			k.report(at, "calls: unknown option %s=%s", c.Group, c.Option)
		}
	}
}

// checkReach reports what keeps a rule from ever firing: a condition that can't hold at any depth
// of the rule, work that only later rules bring in, and calls that the kind of piano it asks for
// can't have.
func (k *checking) checkReach(i int, e Expr) {
	r, at := k.Rules[i], rowPosition{rulesTable, i}
	if len(r.Depths) > 0 && !slices.ContainsFunc(r.Depths, e.canHoldAt) {
		k.report(at, "the condition can't hold at any depth of the rule")
	}
	for _, clause := range e.clauses {
		if late := k.broughtLate(i, clause); late != "" {
			k.report(at, "looks at %s, which only later rules bring in", late)
		}
	}
	for _, kind := range []Kind{Grand, Upright} {
		if !e.demands(term{kind: termKindOf, value: string(kind)}) {
			continue
		}
		for _, call := range r.Calls {
			for _, code := range k.broughtBy(call) {
				if o := k.Operation(code); o != nil && len(o.Hours) > 0 {
					if _, ok := o.Hours[kind]; !ok {
						k.report(at, "must not call for %s on a kind of piano that can't have it: %s",
							code, kind)
					}
				}
			}
		}
	}
}

// broughtLate returns the work that every term of a clause looks at if some later rule but none
// before brings it in. It returns an empty text if the clause can hold otherwise, or only the buyer
// brings the work in.
func (k *checking) broughtLate(i int, clause []term) string {
	late := ""
	for _, t := range clause {
		if t.negated || t.kind != termOperation && t.kind != termOption {
			return ""
		}
		if k.someBrings(k.Rules[:i], t) || !k.someBrings(k.Rules[i:], t) {
			return ""
		}
		late = t.String()
	}
	return late
}

// someBrings reports whether one of the rules brings in what a term looks at, companions included.
func (k *checking) someBrings(rules []Rule, t term) bool {
	seen := map[Call]bool{}
	var queue []Call
	push := func(calls []Call) {
		for _, c := range calls {
			if !seen[c] {
				seen[c] = true
				queue = append(queue, c)
			}
		}
	}
	for _, r := range rules {
		if !r.Suggest {
			push(r.Calls)
		}
	}
	for len(queue) > 0 {
		call := queue[0]
		queue = queue[1:]
		if t.kind == termOption && call.Group == t.subject && call.Option == t.value {
			return true
		}
		for _, code := range k.broughtBy(call) {
			if t.kind == termOperation && string(code) == t.subject {
				return true
			}
			for _, m := range k.CompanionsOf(code) {
				push(m.Calls)
			}
		}
	}
	return false
}

// checkConditions checks that every condition parses and that what it names exists.
func (k *checking) checkConditions() {
	for _, c := range conditions(k.Catalogue) {
		e, err := ParseCondition(string(c.condition))
		if err != nil {
			k.reportErr(c.at, fmt.Errorf("%s: %w", c.field, err))
			continue
		}
		for _, clause := range e.clauses {
			for _, t := range clause {
				if why := k.unmet(e, t); why != "" {
					k.report(c.at, "%s: term %s: %s", c.field, t, why)
				}
			}
		}
	}
}

// unmet says why a term can never hold; an empty text if it can.
func (k *checking) unmet(e Expr, t term) string {
	switch t.kind {
	case termOperation:
		if k.Operation(Code(t.subject)) == nil {
			return "no such operation"
		}
	case termOption:
		if k.option(t.subject, t.value) == nil {
			return "no such option"
		}
	case termSeverity, termAtLeast, termSide, termAnswer:
		p := k.Point(PointCode(t.subject))
		if p == nil {
			return "no such point"
		}
		return k.unmetOfPoint(e, t, p)
	default:
	}
	return ""
}

func (k *checking) unmetOfPoint(e Expr, t term, p *Point) string {
	switch {
	case t.kind == termAnswer:
		if !slices.ContainsFunc(p.Answers, func(a Answer) bool { return a.Name == t.value }) {
			return "no such answer"
		}
	case t.kind == termSide:
		l := p.Limits
		if l == nil || t.value == string(Low) && l.AcceptMin == nil ||
			t.value == string(High) && l.AcceptMax == nil {
			return "no reading lies on that side"
		}
	case t.kind == termSeverity && t.value == string(Unknown) && !t.negated && len(p.Kinds) == 1:
		// A point that the other kind of piano lacks is unknown there for ever.
		if !e.demands(term{kind: termKindOf, value: string(p.Kinds[0])}) {
			return "the other kind of piano never has it: ask for kind:" + string(p.Kinds[0])
		}
	}
	return ""
}

// asksUnknown reports whether a condition asks for a point to be unknown.
func (e Expr) asksUnknown() bool {
	return slices.ContainsFunc(e.clauses, func(clause []term) bool {
		return slices.ContainsFunc(clause, func(t term) bool {
			return !t.negated && t.kind == termSeverity && t.value == string(Unknown)
		})
	})
}

// demands reports whether a clause of the condition is that term alone.
func (e Expr) demands(t term) bool {
	return slices.ContainsFunc(
		e.clauses, func(clause []term) bool { return len(clause) == 1 && clause[0] == t },
	)
}

// canHoldAt reports whether the terms about the depth let the condition hold at d, whatever the
// others say.
func (e Expr) canHoldAt(d Depth) bool {
	return !slices.ContainsFunc(e.clauses, func(clause []term) bool {
		return !slices.ContainsFunc(
			clause, func(t term) bool { return t.kind != termDepth || t.holds(Facts{Depth: d}) },
		)
	})
}
