package plan

import (
	"slices"

	"bentside/domain/catalogue"
	"bentside/domain/scope"
)

// Ahead is an open operation that a hard link puts before another.
type Ahead struct {
	Operation catalogue.Code
	Name      string
	Why       string // the one waits for the other
}

// AheadOf returns what is left of the job that must be over before an operation is begun, or be
// begun before it, by the catalogue's hard links and behind the treatment of what stops the
// instrument. Where a predecessor isn't left, its own stand in for it, as in the plan.
func (q QueuedWork) AheadOf(c *catalogue.Catalogue, code catalogue.Code) []Ahead {
	b := &networkBuilder{
		c: c, job: instrumentWork{begun: q.Begun, stops: q.Stops},
		lines: map[catalogue.Code]*scope.Line{},
	}
	for i := range q.Scope.Lines {
		b.lines[q.Scope.Lines[i].Operation] = &q.Scope.Lines[i]
	}
	var list []Ahead
	for _, p := range b.aheadOf(code) {
		list = append(list, Ahead{Operation: p.from, Name: b.lines[p.from].Name, Why: p.why})
	}
	slices.SortFunc(list, func(x, y Ahead) int {
		return c.Position(x.Operation) - c.Position(y.Operation)
	})
	return slices.CompactFunc(list, func(x, y Ahead) bool { return x.Operation == y.Operation })
}

// aheadOf returns the precedences into an operation that keep it from being begun now.
func (b *networkBuilder) aheadOf(code catalogue.Code) []precedence {
	ask := *b
	ask.job.ended = nil // tails are another matter
	into := slices.Concat(ask.precedencesInto(code), ask.treatmentInto(code))
	return slices.DeleteFunc(into, func(p precedence) bool {
		return p.toFinish || p.fromStart && slices.Contains(b.job.begun, p.from)
	})
}

// begunInOrder reports whether work on an operation was begun and nothing left goes before it. Work
// that was begun before its time goes on in its turn.
func (b *networkBuilder) begunInOrder(code catalogue.Code) bool {
	return slices.Contains(b.job.begun, code) && len(b.aheadOf(code)) == 0
}
