package scope

import "slices"

// selection is the option that a choice is settled on, with the priority of the call that it comes
// from; the option is none for a choice that isn't settled.
type selection struct {
	option   int
	priority priority
}

// betterThan reports whether t outranks o: by priority, then by the more thorough option.
func (t selection) betterThan(o selection) bool {
	if t.priority != o.priority {
		return t.priority > o.priority
	}
	return t.option > o.option
}

// selections are the selections of all choices, and which of their options are refused.
type selections struct {
	selected []selection
	refused  [][]bool
}

// fallback returns the option itself, else the next more thorough one that isn't refused, else the
// next less thorough one. It returns none and false where all are refused.
func (s selections) fallback(group, option int) (int, bool) {
	if option == none {
		return none, false
	}
	refused := s.refused[group]
	for i := option; i < len(refused); i++ {
		if !refused[i] {
			return i, true
		}
	}
	for i := option - 1; i >= 0; i-- {
		if !refused[i] {
			return i, true
		}
	}
	return none, false
}

func sameOptions(a, b []selection) bool {
	return slices.EqualFunc(a, b, func(x, y selection) bool { return x.option == y.option })
}

// soleOptions returns, of the options that admit an operation, those that do so alone in their
// choice: a call for the operation speaks for them.
func soleOptions(refs []optionRef) []optionRef {
	var list []optionRef
	for i, r := range refs {
		sameGroup := func(o optionRef) bool { return o.group == r.group }
		if !slices.ContainsFunc(refs[:i], sameGroup) &&
			!slices.ContainsFunc(refs[i+1:], sameGroup) {
			list = append(list, r)
		}
	}
	return list
}
