package job

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"

	"github.com/shopspring/decimal"
)

// LostWork is work of a job that a change would undo. Its hours aren't in the change.
type LostWork struct {
	Operation catalogue.Code  `json:"operation"`
	Name      string          `json:"name"`
	Hours     decimal.Decimal `json:"hours"` // person-hours put in, or planned where none were booked
	// Because is the added work that it must come after or that it orders for, or the work that undoes
	// it in its turn.
	Because catalogue.Code `json:"because"`
	// Caution is about the pull of the strings, where they are let down again.
	Caution string `json:"caution,omitempty"`
}

// undone returns the work, done or begun, that a change would undo, in the order of the trade: what
// must come after added work by the hard links of the catalogue, directly or by way of others, but
// for links that lapse; what added work needs and what was put back since, as the strings are let
// down anew once new ones are on; and what added work is ordered by, if that is finished: it
// ordered nothing for this.
//
// That work is taken apart or the piano brought in undoes nothing: such work only gives access, and
// what goes in then is added for itself.
func (ch Change) undone(
	c *catalogue.Catalogue, in instrument.Instrument, j Job, js survey.Judgements,
) []LostWork {
	because := map[catalogue.Code]catalogue.Code{}
	after := ch.after(c, j)
	for _, l := range ch.Added {
		if !givesAccess(c.Operation(l.Operation)) {
			markAfter(after, l.Operation, because)
		}
	}
	begun := func(code catalogue.Code) bool {
		t := j.Task(code)
		return t != nil && !t.Dropped && t.Begun()
	}
	needed := ch.neededBy(c, in, j, js)
	for _, l := range ch.Added {
		if code := orderedBy(c, l, needed(l.Operation)); code != "" && j.finished(code) {
			because[code] = l.Operation
		}
		for _, code := range closure(l.Operation, needed) {
			if _, undone := because[code]; undone || !begun(code) {
				continue
			}
			for _, back := range needed(code) {
				_, undone := because[back]
				if undone && begun(back) && slices.Contains(closure(code, after), back) {
					because[code] = back
					break
				}
			}
		}
	}
	var list []LostWork
	for i := range c.Operations {
		code := c.Operations[i].Code
		if by, ok := because[code]; ok && begun(code) {
			list = append(list, j.Task(code).undone(&c.Operations[i], by))
		}
	}
	return list
}

// orderedBy returns the operation that the parts of a line are ordered by and that the line makes
// no sense without, as wire and pins are ordered by the scale; empty if there is none.
func orderedBy(c *catalogue.Catalogue, l scope.Line, needed []catalogue.Code) catalogue.Code {
	op := c.Operation(l.Operation)
	if op == nil || op.Lead == nil || l.Making == catalogue.Outside {
		return ""
	}
	by := op.Lead.After
	if givesAccess(c.Operation(by)) || !slices.Contains(needed, by) {
		return ""
	}
	return by
}

func (j Job) finished(code catalogue.Code) bool {
	t := j.Task(code)
	return t != nil && !t.Dropped && t.FinishedAt != nil
}

func (t Task) undone(op *catalogue.Operation, because catalogue.Code) LostWork {
	u := LostWork{Operation: op.Code, Name: op.Name, Hours: t.again(), Because: because}
	if givesAccess(op) && slices.Contains(op.Hazards, stringTension) {
		u.Caution = catalogue.Caution(stringTension)
	}
	return u
}

const stringTension = "string_tension" // a hazard of the catalogue

// givesAccess reports whether an operation only brings the piano in or takes it apart.
func givesAccess(op *catalogue.Operation) bool {
	return op == nil || op.Phase == "intake" || op.Phase == "dismantling"
}

// again returns the hours that a task takes once more.
func (t Task) again() decimal.Decimal {
	switch {
	case t.Line != nil && !t.ours():
		return decimal.Zero
	case t.doneNow().IsPositive():
		return t.doneNow()
	default:
		return t.Planned
	}
}

// markAfter records the operations that must come after one, with it as the cause, unless they have
// another.
func markAfter(
	after func(catalogue.Code) []catalogue.Code, first catalogue.Code,
	because map[catalogue.Code]catalogue.Code,
) {
	for _, code := range closure(first, after) {
		if _, known := because[code]; !known && code != first {
			because[code] = first
		}
	}
}

// after returns what must wait for an operation by a hard link. Where the job doesn't have it, also
// after the change, a link that lapses then leads to nothing.
func (ch Change) after(
	c *catalogue.Catalogue, j Job,
) func(catalogue.Code) []catalogue.Code {
	has := func(code catalogue.Code) bool {
		t := j.Task(code)
		return t != nil && !t.Dropped || slices.ContainsFunc(ch.Added, func(l scope.Line) bool {
			return l.Operation == code
		})
	}
	return func(from catalogue.Code) []catalogue.Code {
		var list []catalogue.Code
		for _, l := range c.Links {
			if l.Hard && l.From == from && (!l.Lapses || has(l.To)) {
				list = append(list, l.To)
			}
		}
		return list
	}
}

// closure returns what next leads to from an operation, nearest first, without the operation.
func closure(
	first catalogue.Code, next func(catalogue.Code) []catalogue.Code,
) []catalogue.Code {
	list := []catalogue.Code{first}
	for i := 0; i < len(list); i++ {
		for _, code := range next(list[i]) {
			if !slices.Contains(list, code) {
				list = append(list, code)
			}
		}
	}
	return list[1:]
}

// neededBy returns what an operation makes no sense without, in the job after the change.
func (ch Change) neededBy(
	c *catalogue.Catalogue, in instrument.Instrument, j Job, js survey.Judgements,
) func(catalogue.Code) []catalogue.Code {
	facts := j.factsAfter(in, ch, js)
	return func(code catalogue.Code) []catalogue.Code {
		var list []catalogue.Code
		for _, k := range c.CompanionsOf(code) {
			if k.Necessity != catalogue.Needed || k.If != "" && !c.Expr(k.If).Holds(facts) {
				continue
			}
			for _, call := range k.Calls {
				if call.Group == "" {
					list = append(list, call.Operation)
					continue
				}
				for _, o := range c.Choice(call.Group).Options {
					if o.Name == ch.Settled[call.Group] {
						list = append(list, o.Operations...)
					}
				}
			}
		}
		return list
	}
}

// factsAfter returns the facts of a job with a change.
func (j Job) factsAfter(
	in instrument.Instrument, ch Change, js survey.Judgements,
) catalogue.Facts {
	f := scope.FactsOf(in, ch.Depth, js.ByPoint())
	f.Settled = func(group string) string { return ch.Settled[group] }
	f.InScope = func(code catalogue.Code) bool {
		if lineFor(ch.Added, code) != nil {
			return true
		}
		t := j.Task(code)
		return t != nil && !t.Dropped && lineFor(ch.Removed, code) == nil
	}
	return f
}

// UndoneNote says what undone work means for the change that undoes it.
func UndoneNote(list []LostWork) string {
	total := decimal.Zero
	for _, u := range list {
		total = total.Add(u.Hours)
	}
	return fmt.Sprintf("%s h of work that is done or begun come after what is added, were taken "+
		"back since, or ordered nothing for it. Look at each task: whoever accepts this names in `again` "+
		"those that don't stand. Their hours aren't in the price, the hours and the dates of this "+
		"proposal.",
		total)
}
