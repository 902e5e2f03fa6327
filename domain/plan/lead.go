package plan

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
)

// waitForParts makes an operation done in house wait for what must be ordered for it: from the end
// of the operation that the catalogue names and of the task that reveals the work, or from the
// acceptance where neither is in the job.
func (b *networkBuilder) waitForParts(code catalogue.Code) {
	op, l := b.c.Operation(code), b.lines[code]
	if op.Lead == nil || l.Making == catalogue.Outside ||
		slices.Contains(b.job.begun, code) {
		return
	}
	lead := weeksOf(op.Lead.Weeks.Likely)
	takes := fmt.Sprintf("%s: %s weeks from the order", op.Lead.Item, op.Lead.Weeks.Likely)
	ordered := false
	for _, after := range []catalogue.Code{op.Lead.After, l.RevealedBy} {
		if after == b.c.OperationMarked(catalogue.RecordMark) && after == op.Lead.After {
			continue
		}
		if at, ok := b.ended(after); ok && b.lines[after] == nil {
			ordered = true
			b.release(code, minutesAfter(at, lead), fmt.Sprintf("%s, on %s", takes, dayOf(at)))
		}
		if b.lines[after] == nil || b.precedes(code, after) {
			continue
		}
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
