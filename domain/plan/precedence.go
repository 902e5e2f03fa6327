package plan

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// precedence makes one operation of the job wait for another.
type precedence struct {
	from, to catalogue.Code
	// fromStart counts from the start of from instead of its finish, toFinish to the finish of to
	// instead of its start.
	fromStart, toFinish bool
	// counts from the end of from's attended work, not its tail
	attended bool
	lag      *schedule.Minutes // replaces the tail of from
	why      string
}

// precedencesInto returns what an operation waits for by the catalogue's links. Where a predecessor
// isn't in the job, its own predecessors stand in for it: the one left out takes no time, so that
// their precedences end where its own would. The walk ends at the acceptance, at operations that it
// has been through already, and at a link that lapses with the operation left out that it leads to.
func (b *networkBuilder) precedencesInto(code catalogue.Code) []precedence {
	var list []precedence
	visited := map[catalogue.Code]bool{code: true}
	// walk looks at the links into an operation: code itself, or one left out that leads to code by
	// the link leftOut.
	var walk func(into catalogue.Code, leftOut *catalogue.Link)
	walk = func(into catalogue.Code, leftOut *catalogue.Link) {
		for _, l := range b.c.LinksInto(into) {
			last := l
			if leftOut != nil {
				last = *leftOut
				if l.Lapses {
					continue
				}
			}
			b.waitForTail(code, l, last)
			switch {
			case !l.Hard || l.From == code:
			case b.lines[l.From] == nil && !visited[l.From]:
				visited[l.From] = true
				walk(l.From, &last)
			case b.lines[l.From] == nil:
			case leftOut == nil:
				list = append(list, b.direct(l))
			default:
				list = b.addStandIn(list, l, last)
			}
		}
	}
	walk(code, nil)
	return list
}

// direct returns the precedence of a link between two operations of the job.
func (b *networkBuilder) direct(l catalogue.Link) precedence {
	p := precedence{
		from: l.From, to: l.To, fromStart: fromStart(l), toFinish: toFinish(l),
		why: fmt.Sprintf("after %s: %s", b.lines[l.From].Name, l.Reason),
	}
	if l.LagHours != nil {
		lag := minutesOf(*l.LagHours)
		p.lag = &lag
	}
	return p
}

// addStandIn adds the precedence by which the predecessor of an operation that isn't in the job
// stands in for it, unless the list has it. last is the link from the operation left out to the one
// that waits.
func (b *networkBuilder) addStandIn(list []precedence, l, last catalogue.Link) []precedence {
	p := precedence{from: l.From, to: last.To, fromStart: fromStart(l), toFinish: toFinish(last)}
	if slices.ContainsFunc(list, func(x precedence) bool {
		return x.from == p.from && x.fromStart == p.fromStart && x.toFinish == p.toFinish &&
			x.lag == nil
	}) {
		return list
	}
	p.why = fmt.Sprintf("after %s, in the place of %s, which is not in this job: %s",
		b.lines[l.From].Name, b.c.Operation(last.From).Name, last.Reason)
	return append(list, p)
}

func fromStart(l catalogue.Link) bool {
	return l.Type == catalogue.StartStart || l.Type == catalogue.StartFinish
}

func toFinish(l catalogue.Link) bool {
	return l.Type == catalogue.FinishFinish || l.Type == catalogue.StartFinish
}

// addPrecedence links two operations in the network. A lag counts from the end of attended work,
// which for work done outside is when it is back.
func (b *networkBuilder) addPrecedence(p precedence) {
	b.successors[p.from] = append(b.successors[p.from], p.to)
	from, to := b.chains[p.from], b.chains[p.to]
	l := schedule.Link{Kind: schedule.FinishToStart}
	first, last := from.last, to.first
	switch {
	case p.fromStart && p.toFinish:
		first, last, l.Kind = from.first, to.last, schedule.StartToFinish
	case p.fromStart:
		first, l.Kind = from.first, schedule.StartToStart
	case p.toFinish:
		last, l.Kind = to.last, schedule.FinishToFinish
	}
	l.From, l.To = b.Activities[first].Name, b.Activities[last].Name
	back := b.turnRound(p.from)
	if p.fromStart {
		back = 0
	}
	switch {
	case p.lag != nil:
		l.Lag = schedule.ElapsedLag(back + *p.lag)
	case p.attended:
		l.Lag = schedule.ElapsedLag(back)
	}
	b.addLink(l, p.why)
}

// waitForReveal makes a line that is only likely wait for the task that reveals it.
func (b *networkBuilder) waitForReveal(code catalogue.Code) {
	by := b.lines[code].RevealedBy
	if b.lines[by] == nil || b.precedes(code, by) || slices.Contains(b.job.begun, code) {
		return
	}
	why := fmt.Sprintf("only known after %s", b.lines[by].Name)
	b.addPrecedence(precedence{from: by, to: code, attended: true, why: why})
}

// waitForAll makes the last operation wait for every operation that nothing else waits for, so that
// the instrument is ready only when all is done.
func (b *networkBuilder) waitForAll() {
	ready := b.c.OperationMarked(catalogue.ReadyMark)
	if b.lines[ready] == nil {
		return
	}
	for _, code := range b.codes {
		if code != ready && len(b.successors[code]) == 0 && !b.precedes(ready, code) {
			why := fmt.Sprintf("after %s: nothing is left undone", b.lines[code].Name)
			b.addPrecedence(precedence{from: code, to: ready, why: why})
		}
	}
}

// precedes reports whether one operation comes before another by the precedences added so far.
func (b *networkBuilder) precedes(first, then catalogue.Code) bool {
	seen := map[catalogue.Code]bool{}
	open := []catalogue.Code{first}
	for len(open) > 0 {
		code := open[0]
		open = open[1:]
		if code == then {
			return true
		}
		for _, next := range b.successors[code] {
			if !seen[next] {
				seen[next] = true
				open = append(open, next)
			}
		}
	}
	return false
}
