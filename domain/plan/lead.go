package plan

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// waitForParts makes an operation done in house wait for the parts that stock and orders say aren't
// there. What they don't speak of takes the catalogue's lead time: from the end of the operation
// that the catalogue names and of the task that reveals the work, or from the acceptance where
// neither is in the job.
func (b *networkBuilder) waitForParts(code catalogue.Code) {
	op, l := b.c.Operation(code), b.lines[code]
	if l.Making == catalogue.Outside || slices.Contains(b.job.begun, code) {
		return
	}
	if b.waitForSupplied(code) || op.Lead == nil {
		return
	}
	lead := weeksOf(op.Lead.Weeks.Likely)
	takes := fmt.Sprintf("%s: %s weeks from the order", op.Lead.Item, op.Lead.Weeks.Likely)
	ordered := false
	for _, after := range b.orderedOnceKnown(code) {
		if at, ok := b.ended(after); ok && b.lines[after] == nil {
			ordered = true
			b.release(code, minutesAfter(at, lead), fmt.Sprintf("%s, on %s", takes, dayOf(at)))
		}
	}
	for _, after := range b.orderedAfter(code) {
		ordered = true
		why := fmt.Sprintf("%s, after %s", takes, b.lines[after].Name)
		b.addPrecedence(precedence{from: after, to: code, lag: &lead, why: why})
	}
	if ordered {
		return
	}
	why := takes + ", on acceptance"
	if b.job.underWay {
		why = takes + ", taken as sent when the job was accepted"
	}
	b.release(code, minutesAfter(b.job.accepted, lead), why)
}

// orderedOnceKnown returns the operations that say what to order for one: the catalogue's, unless
// that is the survey, and what reveals the work.
func (b *networkBuilder) orderedOnceKnown(code catalogue.Code) []catalogue.Code {
	list := []catalogue.Code{b.lines[code].RevealedBy}
	lead := b.c.Operation(code).Lead
	if lead != nil && lead.After != b.c.OperationMarked(catalogue.RecordMark) {
		list = slices.Insert(list, 0, lead.After)
	}
	return list
}

// orderedAfter returns those operations of the job that must be over before parts for one are
// ordered.
func (b *networkBuilder) orderedAfter(code catalogue.Code) []catalogue.Code {
	return slices.DeleteFunc(b.orderedOnceKnown(code), func(after catalogue.Code) bool {
		return b.lines[after] == nil || b.precedes(code, after)
	})
}
