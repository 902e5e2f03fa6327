package catalogue

import (
	"slices"
	"strings"
)

func (k *checking) checkChoices() {
	i := 0
	for ref, o := range k.options() {
		at := place{choicesTable, i}
		i++
		if !isCode(ref.Group) || !isWord(o.Name) {
			k.say(at, "wants a group of capitals and an option of small letters")
		}
		for _, code := range o.Admits() {
			k.resolve(at, "operations", code)
		}
		for n, code := range o.Admits() {
			if slices.Contains(o.Admits()[:n], code) {
				k.say(at, "names %s twice", code)
			}
		}
		if (o.Refused == "") != (o.RefusedWhy == "") {
			k.say(at, "a refusal wants both its condition and its reason")
		}
		k.checkStanding(at, o.Standing)
		k.checkOneGroup(at, ref, o)
		k.checkClosure(at, ref, o)
	}
}

// checkOneGroup notes an operation that options of another group admit too:
// both can hold, and one would bring in what the other keeps out.
func (k *checking) checkOneGroup(at place, ref OptionRef, o *Option) {
	for _, code := range o.Admits() {
		for _, other := range k.OptionsWith(code) {
			if other.Group != ref.Group {
				k.say(at, "%s stands in %s=%s too, and both can hold", code, other.Group, other.Option)
			}
		}
	}
}

// checkClosure notes an option whose operations call, companion by companion,
// for another option of the same group.
func (k *checking) checkClosure(at place, ref OptionRef, o *Option) {
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
				if call.Group == ref.Group && call.Option != ref.Option {
					k.say(at, "calls for its own rival %s=%s: %s", call.Group, call.Option, k.way(from, code))
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

// broughtBy are the operations that a call brings in.
func (k *checking) broughtBy(call Call) []Code {
	if call.Group == "" {
		return []Code{call.Operation}
	}
	if o := k.option(call.Group, call.Option); o != nil {
		return o.Operations
	}
	return nil
}

// option is an option by group and name; nil where there is none.
func (k *checking) option(group, name string) *Option {
	for ref, o := range k.options() {
		if ref.Group == group && ref.Option == name {
			return o
		}
	}
	return nil
}

// way is how an operation was reached, first cause first.
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
		return false // Check says so where the condition stands
	}
	return slices.ContainsFunc(e.clauses, func(clause []term) bool {
		return !slices.ContainsFunc(clause, func(t term) bool {
			return !t.denied || t.kind != termOption || t.subject != ref.Group || t.value != ref.Option
		})
	})
}
