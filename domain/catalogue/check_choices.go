package catalogue

import (
	"slices"
	"strings"
)

func (k *checking) checkChoices() {
	i := 0
	for ref, o := range k.options() {
		at := rowPosition{choicesTable, i}
		i++
		if !isCode(ref.Group) || !isWord(o.Name) {
			k.report(at, "group must be of capitals and option of small letters")
		}
		for _, code := range o.Admits() {
			k.resolve(at, "operations", code)
		}
		for n, code := range o.Admits() {
			if slices.Contains(o.Admits()[:n], code) {
				k.report(at, "must name %s only once", code)
			}
		}
		if (o.Refused == "") != (o.RefusedWhy == "") {
			k.report(at, "a refusal must have both a condition and a reason")
		}
		k.checkStanding(at, o.Standing)
		k.checkOneGroup(at, ref, o)
		k.checkClosure(at, ref, o)
	}
}

// checkOneGroup reports an operation that options of another group admit too: both can hold, and
// one would bring in what the other excludes.
func (k *checking) checkOneGroup(at rowPosition, ref OptionRef, o *Option) {
	for _, code := range o.Admits() {
		for _, other := range k.OptionsWith(code) {
			if other.Group != ref.Group {
				k.report(
					at, "%s must be in one choice only, and is in %s=%s too", code, other.Group,
					other.Option,
				)
			}
		}
	}
}

// checkClosure reports an option whose operations call, companion by companion, for a more thorough
// option of the same group. A call for a less thorough one is answered by the option itself.
func (k *checking) checkClosure(at rowPosition, ref OptionRef, o *Option) {
	from := map[Code]Code{}
	queue := slices.Clone(o.Operations)
	for _, code := range queue {
		from[code] = ""
	}
	for len(queue) > 0 {
		code := queue[0]
		queue = queue[1:]
		for _, m := range k.CompanionsOf(code) {
			if k.deniedBy(m.If, ref) {
				continue
			}
			for _, call := range m.Calls {
				if call.Group == ref.Group {
					if k.moreThorough(call, ref) {
						k.report(
							at, "must not call for %s=%s, a more thorough option of the same choice: %s",
							call.Group, call.Option, k.way(from, code),
						)
					}
					continue
				}
				for _, next := range k.broughtBy(call) {
					if _, seen := from[next]; !seen {
						from[next] = code
						queue = append(queue, next)
					}
				}
			}
		}
	}
}

// moreThorough reports whether a call asks for more than an option of the same choice.
func (k *checking) moreThorough(call Call, ref OptionRef) bool {
	options := k.Choice(ref.Group).Options
	at := func(name string) int {
		return slices.IndexFunc(options, func(o Option) bool { return o.Name == name })
	}
	return at(call.Option) > at(ref.Option)
}

// broughtBy returns the operations that a call brings in.
func (k *checking) broughtBy(call Call) []Code {
	if call.Group == "" {
		return []Code{call.Operation}
	}
	if o := k.option(call.Group, call.Option); o != nil {
		return o.Operations
	}
	return nil
}

// option returns an option by group and name, or nil if there is none.
func (k *checking) option(group, name string) *Option {
	for ref, o := range k.options() {
		if ref.Group == group && ref.Option == name {
			return o
		}
	}
	return nil
}

// way returns the path by which an operation was reached, first cause first.
func (k *checking) way(from map[Code]Code, code Code) string {
	var names []string
	for ; code != ""; code = from[code] {
		names = append(names, string(code))
	}
	slices.Reverse(names)
	return strings.Join(names, " -> ")
}

// deniedBy reports whether a condition can't hold while the option is taken.
func (k *checking) deniedBy(cond Condition, ref OptionRef) bool {
	e, err := ParseCondition(string(cond))
	if err != nil {
		return false // checkConditions reports it
	}
	denies := func(t term) bool {
		return t.kind == termOption && t.subject == ref.Group && t.negated == (t.value == ref.Option)
	}
	return slices.ContainsFunc(e.clauses, func(clause []term) bool {
		return !slices.ContainsFunc(clause, func(t term) bool { return !denies(t) })
	})
}
