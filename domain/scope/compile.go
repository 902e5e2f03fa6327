package scope

import (
	"slices"
	"strings"

	"bentside/domain/catalogue"
)

func (e *engine) compileChoice(group int, known catalogue.Facts) compiledChoice {
	choice := &e.c.Choices[group]
	compiled := compiledChoice{Choice: choice}
	for i := range choice.Options {
		o := &choice.Options[i]
		x := compiledOption{
			operations: e.positions(o.Operations), admits: e.positions(o.Admits()),
			refused: condition{never: true},
		}
		if o.Refused != "" {
			x.refused = e.compile(e.refusal(choice, o), known)
			x.why = e.reasonOf(choice.Group, o.Refused, x.refused, o.Name+" is refused: "+o.RefusedWhy)
		}
		compiled.options = append(compiled.options, x)
		compiled.refs = append(compiled.refs, optionRef{group, i})
	}
	return compiled
}

func (e *engine) positions(codes []catalogue.Code) []int {
	list := make([]int, 0, len(codes))
	for _, code := range codes {
		if at := e.c.Position(code); at >= 0 {
			list = append(list, at)
		}
	}
	return list
}

func (e *engine) compileCompanions(code catalogue.Code, known catalogue.Facts) []compiledCompanion {
	var list []compiledCompanion
	for _, k := range e.c.CompanionsOf(code) {
		when := e.compileCondition(k.If, known)
		reason := e.reasonOf(k.ID, k.If, when, k.Reason)
		reason.From = code
		x := compiledCompanion{
			at: e.companionCount, when: when, calls: e.targets(k.Calls), reason: reason,
			usual: k.Necessity == catalogue.Usual,
		}
		x.reason.withinOption = x.usual && slices.ContainsFunc(k.Calls, func(call catalogue.Call) bool {
			ref := catalogue.OptionRef{Group: call.Group, Option: call.Option}
			return slices.Contains(e.c.OptionsWith(code), ref)
		})
		list = append(list, x)
		e.companionCount++
	}
	return list
}

// compileGoesWith finds for each operation the others of its option that it makes no sense without,
// whatever the survey finds: it comes and goes with them.
func (e *engine) compileGoesWith() {
	e.goesWith = make([][]int, len(e.companions))
	for i := range e.choices {
		for _, option := range e.choices[i].options {
			for _, op := range option.operations {
				e.goesWith[op] = append(e.goesWith[op], e.neededWithin(option.operations, op)...)
			}
		}
	}
}

// neededWithin returns those of some operations that one of them needs, directly or through others.
func (e *engine) neededWithin(operations []int, op int) []int {
	needed := []int{op}
	for i := 0; i < len(needed); i++ {
		for _, k := range e.companions[needed[i]] {
			if k.usual || k.when.never || len(k.when.clauses) > 0 {
				continue
			}
			for _, t := range k.calls {
				if slices.Contains(operations, t.operation) && !slices.Contains(needed, t.operation) {
					needed = append(needed, t.operation)
				}
			}
		}
	}
	return needed[1:]
}

// compileMaterials compiles what an operation uses up. Its conditions become predicates too, so
// that worlds that use up different materials have different signatures.
func (e *engine) compileMaterials(code catalogue.Code, known catalogue.Facts) []compiledMaterial {
	var list []compiledMaterial
	for _, m := range e.c.MaterialsOf(code) {
		x := compiledMaterial{m, e.compileCondition(m.When, known), none}
		if !x.when.never && len(x.when.clauses) > 0 {
			x.bit = len(e.possible) + e.conditionalCount
			e.conditionalCount++
		}
		list = append(list, x)
	}
	return list
}

// compileRules compiles the rules of the depth. A rule that depends on open points and only calls
// for operations that every world has anyway never fires: it would split worlds that have the same
// work.
func (e *engine) compileRules(known catalogue.Facts) {
	certain := e.certainOperations(known)
	for i := range e.c.Rules {
		r := &e.c.Rules[i]
		if slices.Contains(r.Depths, e.depth) {
			e.rules = append(e.rules, e.compileRule(r, known, certain))
		}
	}
}

func (e *engine) compileRule(
	r *catalogue.Rule, known catalogue.Facts, certain []bool,
) compiledRule {
	compiled := compiledRule{Rule: r, calls: e.targets(r.Calls), presses: none}
	expr := e.ruleExpr(r)
	left, possible := expr.Residual(known, e.open)
	doubtful := slices.ContainsFunc(left, catalogue.Clause.AsksPoints)
	if r.Suggest || !possible || doubtful && addsNothing(compiled.calls, certain) {
		compiled.when.never = true
		return compiled
	}
	compiled.when = e.compile(expr, known)
	compiled.reason = e.reasonOf(r.ID, r.When, compiled.when, r.Reason)
	if silent := expr.Silent(known); len(silent) > 0 {
		compiled.reason.Text += " (taken for granted, since not on record: " +
			strings.Join(silent, ", ") + ")"
	}
	compiled.pressing = slices.ContainsFunc(expr.Evidence(known), func(p catalogue.PointCode) bool {
		return e.judgements[p].Severity == catalogue.MustAct
	})
	if doubtful && !compiled.when.never {
		name := "pressing " + r.ID + " when " + string(r.When)
		presses := func(p catalogue.PointCode, f catalogue.Facts) bool {
			return f.Severity(p) == catalogue.MustAct && slices.Contains(expr.Evidence(f), p)
		}
		compiled.presses = e.predicates.bit(name, presses)
	}
	return compiled
}

func (e *engine) targets(calls []catalogue.Call) []target {
	list := make([]target, len(calls))
	for i, k := range calls {
		list[i] = e.target(k)
	}
	return list
}

func (e *engine) target(k catalogue.Call) target {
	if k.Group == "" {
		return target{e.c.Position(k.Operation), none, none}
	}
	group := slices.IndexFunc(e.c.Choices, func(c catalogue.Choice) bool { return c.Group == k.Group })
	if group < 0 {
		return target{none, none, none}
	}
	return target{none, group, optionIndex(&e.c.Choices[group], k.Option)}
}

// certainOperations returns, by position, the operations that every world has because rules or
// companions call for them whatever is found, and that belong to no choice.
func (e *engine) certainOperations(known catalogue.Facts) []bool {
	certain := make([]bool, len(e.possible))
	add := func(calls []target) (grown bool) {
		for _, k := range calls {
			if k.operation < 0 || certain[k.operation] || !e.possible[k.operation] ||
				len(e.admittedBy[k.operation]) > 0 {
				continue
			}
			op := &e.c.Operations[k.operation]
			_, doubtful := e.overrides.figure(SetChance, op.Code)
			if _, removed := e.overrides.removed[op.Code]; !doubtful && !removed {
				certain[k.operation], grown = true, true
			}
		}
		return grown
	}
	for i := range e.c.Rules {
		r := &e.c.Rules[i]
		left, possible := e.ruleExpr(r).Residual(known, e.open)
		if possible && len(left) == 0 && !r.Suggest && slices.Contains(r.Depths, e.depth) {
			add(e.targets(r.Calls))
		}
	}
	for again := true; again; {
		again = false
		for i, there := range certain {
			for _, k := range e.companions[i] {
				if there && !k.when.never && len(k.when.clauses) == 0 && add(k.calls) {
					again = true
				}
			}
		}
	}
	return certain
}

// addsNothing reports whether every call asks for an operation that is certain.
func addsNothing(calls []target, certain []bool) bool {
	return !slices.ContainsFunc(calls, func(k target) bool {
		return k.operation < 0 || !certain[k.operation]
	})
}

// editCalls returns the calls that the buyer's edits make. They go first, so that the rules see
// them.
func (e *engine) editCalls() []call {
	var list []call
	for _, code := range e.overrides.added {
		reason := buyersReason("added", e.overrides.addedWhy[code])
		if at := e.c.Position(code); e.possible[at] {
			t := target{at, none, none}
			list = append(list, call{reason: &reason, from: none, target: t, priority: addedByBuyer})
		}
	}
	for i := range e.choices {
		group := e.choices[i].Group
		if option, ok := e.overrides.options[group]; ok {
			reason := buyersReason("chosen", e.overrides.optionWhy[group])
			t := e.target(catalogue.Call{Group: group, Option: option})
			list = append(list, call{reason: &reason, from: none, target: t, priority: chosenByBuyer})
		}
	}
	return list
}
