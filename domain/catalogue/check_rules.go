package catalogue

import (
	"fmt"
	"slices"
)

func (k *checking) checkCompanions() {
	for i, m := range k.Companions {
		at := place{companionsTable, i}
		k.resolve(at, "when", m.When)
		k.checkCalls(at, m.Calls)
		if m.ID == "" || m.Reason == "" || len(m.Calls) == 0 {
			k.say(at, "wants an id, calls and a reason")
		}
	}
}

func (k *checking) checkRules() {
	for i, r := range k.Rules {
		at := place{rulesTable, i}
		if r.ID == "" || r.Reason == "" {
			k.say(at, "wants an id and a reason")
		}
		if len(r.Depths) == 0 {
			k.say(at, "names no depth")
		}
		for _, d := range r.Depths {
			if !slices.Contains(Depths, d) {
				k.say(at, "%q is no depth", d)
			}
		}
		k.checkStanding(at, r.Standing)
		k.checkCalls(at, r.Calls)
		if len(r.Calls) == 0 && !r.Suggest {
			k.say(at, "calls for nothing and suggests nothing")
		}
		if r.RevealedBy != "" {
			k.resolve(at, "revealed_by", r.RevealedBy)
		}
		e, err := ParseCondition(string(r.When))
		if err != nil {
			continue // checkConditions says so
		}
		if asks := e.asksUnknown(); !r.Suggest && asks != (r.RevealedBy != "") {
			k.say(at, "a rule on unknown points, and no other, names the work that reveals them")
		}
		k.checkReach(i, e)
	}
}

// checkCalls tests that each call is an operation or an option that exists.
func (k *checking) checkCalls(at place, calls []Call) {
	for _, c := range calls {
		switch {
		case (c.Group == "") != (c.Option == "") || (c.Group == "") == (c.Operation == ""):
			k.say(at, "a call is an operation or a group with an option")
		case c.Group == "":
			k.resolve(at, "calls", c.Operation)
		case k.option(c.Group, c.Option) == nil:
			k.say(at, "calls: %s=%s is no option", c.Group, c.Option)
		}
	}
}

// checkReach notes what keeps a rule from ever being of use: a condition that
// no depth of the rule can meet, work that only later rules bring in, and
// calls that the kind of piano it asks for cannot have.
func (k *checking) checkReach(i int, e Expr) {
	r, at := k.Rules[i], place{rulesTable, i}
	if len(r.Depths) > 0 && !slices.ContainsFunc(r.Depths, e.canHoldAt) {
		k.say(at, "no depth of the rule can meet its condition")
	}
	for _, clause := range e.clauses {
		if late := k.broughtLate(i, clause); late != "" {
			k.say(at, "looks at %s, which only later rules bring in", late)
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
						k.say(at, "calls for %s on a kind of piano that cannot have it: %s", code, kind)
					}
				}
			}
		}
	}
}

// broughtLate is the work that every term of a clause looks at, where some
// later rule but none before brings it in; empty where the clause has other
// ways to hold, or only the buyer brings it in.
func (k *checking) broughtLate(i int, clause []term) string {
	late := ""
	for _, t := range clause {
		if t.denied || t.kind != termOperation && t.kind != termOption {
			return ""
		}
		if k.someBrings(k.Rules[:i], t) || !k.someBrings(k.Rules[i:], t) {
			return ""
		}
		late = t.String()
	}
	return late
}

// someBrings reports whether one of the rules brings in what a term looks at,
// companions included.
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

// checkConditions tests that every condition parses and that what it names
// exists.
func (k *checking) checkConditions() {
	for _, c := range conditions(k.Catalogue) {
		e, err := ParseCondition(string(c.condition))
		if err != nil {
			k.blame(c.at, fmt.Errorf("%s: %w", c.field, err))
			continue
		}
		for _, clause := range e.clauses {
			for _, t := range clause {
				if why := k.unmet(e, t); why != "" {
					k.say(c.at, "%s: term %s: %s", c.field, t, why)
				}
			}
		}
	}
}

// unmet is why a term can never say anything; empty where it can.
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
		if l == nil || t.value == string(Low) && l.AcceptMin == nil || t.value == string(High) && l.AcceptMax == nil {
			return "no reading lies on that side"
		}
	case t.kind == termSeverity && t.value == string(Unknown) && !t.denied && len(p.Kinds) == 1:
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
			return !t.denied && t.kind == termSeverity && t.value == string(Unknown)
		})
	})
}

// demands reports whether a clause of the condition is that term alone.
func (e Expr) demands(t term) bool {
	return slices.ContainsFunc(e.clauses, func(clause []term) bool { return len(clause) == 1 && clause[0] == t })
}

// canHoldAt reports whether the terms about the depth let the condition hold
// at d, whatever the others say.
func (e Expr) canHoldAt(d Depth) bool {
	return !slices.ContainsFunc(e.clauses, func(clause []term) bool {
		return !slices.ContainsFunc(clause, func(t term) bool { return t.kind != termDepth || t.holds(Facts{Depth: d}) })
	})
}
