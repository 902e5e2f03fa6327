package scope

import (
	"slices"

	"bentside/domain/catalogue"
)

// SuggestingRule returns the rule whose suggestion can be taken, or nil where no rule with this id
// suggests work.
func SuggestingRule(c *catalogue.Catalogue, id string) *catalogue.Rule {
	i := slices.IndexFunc(c.Rules, func(r catalogue.Rule) bool {
		return r.ID == id && r.Suggest && len(r.Calls) > 0
	})
	if i < 0 {
		return nil
	}
	return &c.Rules[i]
}

// suggestions returns what the rules suggest by what is known and by the draft's work, in their
// order.
func (d *draft) suggestions() []Reason {
	facts := d.facts(d.known())
	var list []Reason
	for i := range d.rules {
		if r := d.rules[i].Rule; r.Suggest {
			if expr := d.c.Expr(r.When); expr.Holds(facts) {
				list = append(list, Reason{Rule: r.ID, Points: expr.Evidence(facts), Text: r.Reason})
			}
		}
	}
	return list
}
