package scope

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/survey"
)

// Held is the work that a job holds, done or not, and how it settles choices.
type Held struct {
	Depth      catalogue.Depth
	Operations []catalogue.Code
	Settled    map[string]string // choice group → option
	Edits      []Edit            // of figures and depths, and what may be left out
}

// OptionsOf returns, by choice group, the option that some operations belong to: the one that most
// of them do, of several the one of whose operations the fewest are missing, then the most
// thorough. A choice that none of them belongs to is left out.
func OptionsOf(c *catalogue.Catalogue, operations []catalogue.Code) map[string]string {
	there := func(code catalogue.Code) bool { return slices.Contains(operations, code) }
	settled := map[string]string{}
	for _, choice := range c.Choices {
		most, least := 0, 0
		for _, o := range choice.Options {
			held, missing := 0, 0
			for _, code := range o.Admits() {
				if there(code) {
					held++
				}
			}
			for _, code := range o.Operations {
				if !there(code) {
					missing++
				}
			}
			if held > most || held > 0 && held == most && missing <= least {
				most, least = held, missing
				settled[choice.Group] = o.Name
			}
		}
	}
	return settled
}

// heldWork is what a job holds, compiled: by operation, whether the job has it; by choice, the
// option that the job settles it on, or none, and whether that option is what the findings would
// call for on another piano; by choice and option, whether the catalogue refused it all along.
type heldWork struct {
	operations []bool
	options    []int
	answered   []bool
	tolerated  [][]bool
}

// continueJob makes the engine one of a job under way: the job's work stands, and only those rules
// are left that say something new. They are those that one of the fresh points is evidence for,
// and those that didn't hold of the job's work and of what was known before.
func (e *engine) continueJob(
	c *catalogue.Catalogue, h Held, before survey.Judgements, fresh []catalogue.PointCode,
) {
	old := c.AtDepths(h.Depth, overridesOf(c, h.Edits).depths)
	agreed := e.heldFacts(h, before)
	known := e.known()
	e.rules = slices.DeleteFunc(e.rules, func(r compiledRule) bool {
		isFresh := func(p catalogue.PointCode) bool { return slices.Contains(fresh, p) }
		if slices.ContainsFunc(e.c.Expr(r.When).Evidence(known), isFresh) {
			return false
		}
		return slices.ContainsFunc(old.Rules, func(x catalogue.Rule) bool {
			return x.ID == r.ID && slices.Contains(x.Depths, h.Depth) && old.Expr(x.When).Holds(agreed)
		})
	})
	e.held = e.compileHeld(h, agreed)
}

// heldFacts returns the facts of a job's work and of what was found, without points that nobody
// looked at.
func (e *engine) heldFacts(h Held, js survey.Judgements) catalogue.Facts {
	judged := js.ByPoint()
	f := FactsOf(e.in, h.Depth, judged)
	f.Severity = func(p catalogue.PointCode) catalogue.Severity { return judged[p].Severity }
	f.InScope = func(code catalogue.Code) bool { return slices.Contains(h.Operations, code) }
	f.Settled = func(group string) string { return h.Settled[group] }
	return f
}

func (e *engine) compileHeld(h Held, agreed catalogue.Facts) *heldWork {
	w := &heldWork{operations: make([]bool, len(e.possible))}
	for _, at := range e.positions(h.Operations) {
		w.operations[at] = true
	}
	now := e.heldFacts(h, nil)
	known := e.known()
	now.Depth, now.Severity, now.Side, now.Answer = e.depth, known.Severity, known.Side, known.Answer
	for _, choice := range e.choices {
		option := optionIndex(choice.Choice, h.Settled[choice.Group])
		w.options = append(w.options, option)
		w.answered = append(w.answered, option >= 0 && slices.ContainsFunc(e.c.Rules,
			func(r catalogue.Rule) bool {
				return e.callsFor(r, choice.Group, choice.Options[option].Name) &&
					e.c.Expr(r.When).HoldsOnAnother(now) && !e.c.Expr(r.When).Holds(now)
			}))
		tolerated := make([]bool, len(choice.Options))
		for i, o := range choice.Options {
			tolerated[i] = o.Refused != "" && e.c.Expr(o.Refused).Holds(agreed)
		}
		w.tolerated = append(w.tolerated, tolerated)
	}
	return w
}

// callsFor reports whether a rule of the depth calls for an option.
func (e *engine) callsFor(r catalogue.Rule, group, option string) bool {
	return !r.Suggest && slices.Contains(r.Depths, e.depth) &&
		slices.ContainsFunc(r.Calls, func(k catalogue.Call) bool {
			return k.Group == group && k.Option == option
		})
}

// has reports whether the job has the operation. An ordinary scope holds nothing.
func (w *heldWork) has(op int) bool { return w != nil && op != none && w.operations[op] }

// heldReason is the reason of a choice that the job settled on an option which a finding rules out.
var heldReason = Reason{Rule: "job", Text: "the job had settled on what can't be done any more"}

// stand puts the job's work into the draft, and settles choices as the job does. Work of an option
// that has given way to another is left out.
func (d *draft) stand() {
	if d.held == nil {
		return
	}
	for op, held := range d.held.operations {
		d.present[op] = held && !d.displaced(op) && !d.removed[op] && !d.absent(op)
	}
	for group, option := range d.held.options {
		if option == none {
			continue
		}
		d.firstCalled[group] = option
		d.supportOption(group, option)
		if to, ok := d.fallback(group, option); ok && to != option {
			t := target{none, group, option}
			d.add(call{reason: &heldReason, from: none, target: t, priority: ordinary})
		}
	}
}

// displaced reports whether a choice that the job settled on an option with the operation is
// settled on one without it.
func (d *draft) displaced(op int) bool {
	refs := d.admittedBy[op]
	return slices.ContainsFunc(refs, func(r optionRef) bool {
		s := d.selected[r.group].option
		return d.held.options[r.group] == r.option && s != none &&
			!slices.Contains(refs, optionRef{r.group, s})
	})
}

// keepHeld returns the selection of a choice that a job settled: its own option stands unless the
// buyer takes another, or a finding that must be acted on calls for a more thorough one.
func (r *resolver) keepHeld(group int, s selection) selection {
	if r.held == nil || r.held.options[group] == none {
		return s
	}
	option, ok := r.fallback(group, r.held.options[group])
	overturned := s.priority == pressing && s.option > option && !r.held.answered[group]
	if !ok || s.option != none && (s.priority >= addedByBuyer || overturned) {
		return s
	}
	return selection{option, ordinary}
}
