package domain

import (
	"slices"

	"bentside/domain/catalogue"
)

// Suggested is the rule of a suggestion that can be taken; nil where no rule of
// that id suggests work.
func Suggested(c *catalogue.Catalogue, id string) *catalogue.Rule {
	i := slices.IndexFunc(c.Rules, func(r catalogue.Rule) bool { return r.ID == id && r.Suggest && len(r.Calls) > 0 })
	if i < 0 {
		return nil
	}
	return &c.Rules[i]
}

// take makes the calls of a suggestion the buyer's own: its operations are
// added, and its choices settled.
func (w *wishes) take(c *catalogue.Catalogue, e Edit, added map[catalogue.Code]bool) {
	r := Suggested(c, e.Rule)
	if r == nil {
		return // checkTake says so
	}
	why := e.Why
	if why == "" {
		why = r.Reason
	}
	for _, k := range r.Calls {
		if k.Group != "" {
			w.options[k.Group], w.chosen[k.Group] = k.Option, why
			continue
		}
		added[k.Operation], w.removed[k.Operation], w.whys[k.Operation] = true, false, why
	}
}

func checkTake(faults *Faults, at string, c *catalogue.Catalogue, e Edit) {
	if Suggested(c, e.Rule) == nil {
		faults.Add(at+"/rule", "%q is no rule that suggests work", e.Rule)
	}
}

// checkPartDepth tests an edit that takes a part to a depth of its own.
func checkPartDepth(faults *Faults, at string, e Edit) {
	if !slices.Contains(catalogue.Parts, e.Part) {
		faults.Add(at+"/part", "%q is no part of an instrument; use %s, %s, %s or %s", e.Part,
			catalogue.CasePart, catalogue.ActionPart, catalogue.StringPart, catalogue.BellyPart)
	}
	if !slices.Contains(catalogue.Depths, e.Depth) {
		faults.Add(at+"/depth", "%q is no depth; use as_found, recondition or restore", e.Depth)
	}
}
