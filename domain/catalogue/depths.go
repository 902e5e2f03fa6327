package catalogue

import (
	"slices"
	"strings"
)

// Part is a part of an instrument whose work may go to a depth of its own.
type Part string

// The parts, and what belongs to each by the phases of its operations. Intake, dismantling, tuning
// and handover belong to none: they follow the scope.
const (
	CasePart   Part = "case"    // casework: rim, loose parts, hardware
	ActionPart Part = "action"  // action, keys, dampers, regulation, voicing
	StringPart Part = "strings" // stringing
	BellyPart  Part = "belly"   // plank, board, bridges, frame
)

// Parts lists the parts.
var Parts = []Part{CasePart, ActionPart, StringPart, BellyPart}

var partOfPhase = map[string]Part{
	"casework": CasePart,
	"action":   ActionPart, "keys": ActionPart, "dampers": ActionPart, "regulation": ActionPart,
	"voicing":   ActionPart,
	"stringing": StringPart,
	"belly":     BellyPart, "frame": BellyPart,
}

// PartOf returns the part that an operation belongs to; an empty one if it belongs to none. All
// operations of a choice belong to one part, so that one depth settles the choice.
func (c *Catalogue) PartOf(code Code) Part {
	if refs := c.OptionsWith(code); len(refs) > 0 {
		return c.partOfChoice(refs[0].Group)
	}
	return c.partByPhase(code)
}

func (c *Catalogue) partByPhase(code Code) Part {
	if o := c.Operation(code); o != nil {
		return partOfPhase[o.Phase]
	}
	return ""
}

// partOfChoice returns the part of the first operation of a choice that has one.
func (c *Catalogue) partOfChoice(group string) Part {
	choice := c.Choice(group)
	if choice == nil {
		return ""
	}
	for _, o := range choice.Options {
		for _, code := range o.Admits() {
			if p := c.partByPhase(code); p != "" {
				return p
			}
		}
	}
	return ""
}

// AtDepths returns the catalogue for an instrument whose parts go to depths of their own: drawn at
// base, its rules call for each part's work as they do at that part's depth, and make remarks as at
// base. Companions and refusals follow the part of the operation or choice that they belong to.
// Rows keep their ids, so a rule may appear once for each depth; the result serves for drawing a
// scope and for nothing else. Without parts it is the catalogue itself.
func (c *Catalogue) AtDepths(base Depth, parts map[Part]Depth) *Catalogue {
	if len(parts) == 0 {
		return c
	}
	depthOf := func(p Part) Depth {
		if d, ok := parts[p]; ok {
			return d
		}
		return base
	}
	mixed := c.copied()
	mixed.Rules = nil
	for _, r := range c.Rules {
		mixed.Rules = append(mixed.Rules, c.ruleAtDepths(r, base, depthOf)...)
	}
	mixed.Companions = slices.DeleteFunc(mixed.Companions, func(k Companion) bool {
		_, ok := k.If.at(depthOf(c.PartOf(k.When)))
		return !ok
	})
	for i, k := range mixed.Companions {
		mixed.Companions[i].If, _ = k.If.at(depthOf(c.PartOf(k.When)))
	}
	for i, choice := range mixed.Choices {
		mixed.Choices[i].Options = slices.Clone(choice.Options)
		for j, o := range choice.Options {
			refused, ok := o.Refused.at(depthOf(c.partOfChoice(choice.Group)))
			if !ok {
				refused, mixed.Choices[i].Options[j].RefusedWhy = "", ""
			} else if refused == "" && o.Refused != "" {
				refused = Condition(termAlways)
			}
			mixed.Choices[i].Options[j].Refused = refused
		}
	}
	mixed.index = newIndex(mixed)
	return mixed
}

// ruleAtDepths returns a rule as it holds with parts at depths of their own: one for each depth at
// which it makes some of its calls, none if it holds at none.
func (c *Catalogue) ruleAtDepths(r Rule, base Depth, depthOf func(Part) Depth) []Rule {
	if len(r.Calls) == 0 {
		return r.at(base, base)
	}
	var list []Rule
	for _, d := range Depths {
		own := r
		own.Calls = slices.DeleteFunc(
			slices.Clone(r.Calls), func(k Call) bool { return depthOf(c.partOfCall(k)) != d },
		)
		if len(own.Calls) > 0 {
			list = append(list, own.at(d, base)...)
		}
	}
	return list
}

func (c *Catalogue) partOfCall(k Call) Part {
	if k.Group != "" {
		return c.partOfChoice(k.Group)
	}
	return c.PartOf(k.Operation)
}

// at returns the rule as it holds at a depth, written for a scope at base; none if it can't hold.
func (r Rule) at(d, base Depth) []Rule {
	if !slices.Contains(r.Depths, d) {
		return nil
	}
	when, ok := r.When.at(d)
	if !ok {
		return nil
	}
	if when == "" {
		when = Condition(termAlways)
	}
	r.When, r.Depths = when, []Depth{base}
	return []Rule{r}
}

// at returns the condition with its terms about depth answered, and false if it can't hold at that
// depth.
func (c Condition) at(d Depth) (Condition, bool) {
	if strings.TrimSpace(string(c)) == "" {
		return c, true
	}
	var clauses []string
	for clause := range strings.SplitSeq(string(c), ";") {
		var terms []string
		met := false
		for text := range strings.SplitSeq(clause, "|") {
			positive, negated := strings.CutPrefix(strings.TrimSpace(text), "!")
			depth, about := strings.CutPrefix(positive, string(termDepth)+":")
			switch {
			case !about:
				terms = append(terms, text)
			case (Depth(depth) == d) != negated:
				met = true
			}
		}
		switch {
		case met:
		case len(terms) == 0:
			return "", false
		default:
			clauses = append(clauses, strings.Join(terms, "|"))
		}
	}
	return Condition(strings.Join(clauses, ";")), true
}
