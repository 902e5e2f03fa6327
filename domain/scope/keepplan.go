package scope

import (
	"maps"
	"slices"

	"bentside/domain/catalogue"
)

// KeepPlan returns the scope with the plan of an earlier one wherever nothing learnt since has
// moved the chances. The planned draft is the best fit among many, which any new finding may tip; a
// finding at the pedals must not take the dampers out of a job. The options of a choice keep their
// plan together or not at all.
func (s Scope) KeepPlan(c *catalogue.Catalogue, earlier Scope) Scope {
	before := map[catalogue.Code]Line{}
	for _, l := range earlier.Lines {
		before[l.Operation] = l
	}
	moved := map[catalogue.Code]bool{}
	for code := range before {
		moved[code] = true // unless the scope still has it
	}
	for _, l := range s.Lines {
		b, there := before[l.Operation]
		moved[l.Operation] = !there || !b.Chance.Equal(l.Chance)
	}
	settled := maps.Clone(s.Settled)
	for _, choice := range c.Choices {
		options := optionOperations(choice)
		if slices.ContainsFunc(options, func(code catalogue.Code) bool { return moved[code] }) {
			for _, code := range options {
				moved[code] = true
			}
		} else if option, ok := earlier.Settled[choice.Group]; ok {
			settled[choice.Group] = option
		}
	}
	s.Settled, s.Lines = settled, slices.Clone(s.Lines)
	for i := range s.Lines {
		if l := &s.Lines[i]; !moved[l.Operation] {
			l.Expected = before[l.Operation].Expected
		}
	}
	return s
}

// optionOperations returns the operations that the options of a choice admit.
func optionOperations(choice catalogue.Choice) []catalogue.Code {
	var list []catalogue.Code
	for _, o := range choice.Options {
		list = append(list, o.Admits()...)
	}
	return list
}
