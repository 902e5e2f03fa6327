package scope

import (
	"fmt"
	"slices"
	"strings"

	"bentside/domain/catalogue"
)

// needText states which operation needs what a call asks for, and why.
func (e *engine) needText(k call) string {
	what := string(e.code(k.target.operation))
	if k.target.group != none {
		choice := e.choices[k.target.group]
		what = choice.Group + "=" + choice.Options[k.target.option].Name
	}
	return fmt.Sprintf("%s needs %s: %s", e.code(k.from), what, k.reason.Text)
}

// chain returns why an operation is in the draft, from its own reason back to the first cause.
func (d *draft) chain(op int) []string {
	var chain []string
	for seen := make([]bool, len(d.present)); !seen[op]; {
		seen[op] = true
		i := d.firstCall(op)
		if i < 0 {
			return chain
		}
		k := d.calls[i]
		if k.from != none {
			chain = append(chain, d.needText(k))
			op = k.from
			continue
		}
		chain = append(chain, fmt.Sprintf("%s is here because %s", d.code(op), reasonText(*k.reason)))
		return append(chain, d.evidenceText(k.reason.Points)...)
	}
	return chain
}

// firstCall returns the position of the first call that brings an operation in, or -1. The caller
// of a companion was present before its call, so the way back through first calls has no cycle.
func (d *draft) firstCall(op int) int {
	return slices.IndexFunc(d.calls, func(k call) bool {
		return slices.Contains(d.calledOperations(k), op)
	})
}

// workText returns why the work that makes a condition hold is in the draft.
func (d *draft) workText(c *condition) []string {
	var list []string
	for _, x := range c.clauses {
		for _, t := range x.work {
			switch {
			case t.denied || !d.contains(t.target, d.optionSoFar):
			case t.group == none:
				list = append(list, d.chain(t.operation)...)
			default:
				list = append(list, d.settledText(t.group, t.option)...)
			}
		}
	}
	return list
}

// settledText returns why a choice is settled on an option: the first call that speaks for it.
func (d *draft) settledText(group, option int) []string {
	for _, k := range d.calls {
		if slices.Contains(d.optionsNamedBy(k.target), optionRef{group, option}) {
			return []string{fmt.Sprintf("%s=%s is settled because: %s", d.choices[group].Group,
				d.choices[group].Options[option].Name, k.reason.Text)}
		}
	}
	return nil
}

// reasonText puts a reason into one sentence, its points first.
func reasonText(r Reason) string {
	if len(r.Points) == 0 {
		return r.Text
	}
	names := make([]string, len(r.Points))
	for i, p := range r.Points {
		names[i] = string(p)
	}
	return strings.Join(names, ", ") + ": " + r.Text
}

// evidenceText returns what the survey found at the points, a line each.
func (e *engine) evidenceText(points []catalogue.PointCode) []string {
	var list []string
	for _, p := range points {
		if text := e.judgements[p].Text; text != "" {
			list = append(list, fmt.Sprintf("%s: %s", p, text))
		}
	}
	return list
}
