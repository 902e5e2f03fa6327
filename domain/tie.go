package domain

import (
	"fmt"
	"slices"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// tie is a link between two operations of the job.
type tie struct {
	from, to         catalogue.Code
	fromStart, toEnd bool              // the ends that count: the start of from instead of its finish, the finish of to instead of its start
	attended         bool              // from's finish is that of its attended work, whatever its tail
	lag              *schedule.Minutes // in the place of from's tail
	why              string
}

// tiesInto are the ties of the operations that one waits for. Where a
// predecessor is not in the job, its own predecessors stand in for it: the one
// left out takes no time, so that their ties end where its own would. The walk
// ends at the acceptance, and at what it has been through already.
func (w *weaver) tiesInto(code catalogue.Code) []tie {
	var list []tie
	visited := map[catalogue.Code]bool{code: true}
	// walk looks at the links into an operation: code itself, or one left out
	// that leads to code by the link leftOut.
	var walk func(into catalogue.Code, leftOut *catalogue.Link)
	walk = func(into catalogue.Code, leftOut *catalogue.Link) {
		for _, l := range w.c.LinksInto(into) {
			last := l
			if leftOut != nil {
				last = *leftOut
			}
			w.awaitTail(code, l, last)
			switch {
			case !l.Hard || l.From == code:
			case w.picked[l.From] == nil && !visited[l.From]:
				visited[l.From] = true
				walk(l.From, &last)
			case w.picked[l.From] == nil:
			case leftOut == nil:
				list = append(list, w.direct(l))
			default:
				list = w.standIn(list, l, last)
			}
		}
	}
	walk(code, nil)
	return list
}

// direct is the tie of a link between two operations of the job.
func (w *weaver) direct(l catalogue.Link) tie {
	t := tie{
		from: l.From, to: l.To, fromStart: startOfFrom(l), toEnd: endOfTo(l),
		why: fmt.Sprintf("after %s: %s", w.picked[l.From].Name, l.Reason),
	}
	if l.LagHours != nil {
		lag := minutesOf(*l.LagHours)
		t.lag = &lag
	}
	return t
}

// standIn adds the tie by which the predecessor of an operation that is not in
// the job stands in for it, unless there is such a tie. last is the link from
// what is left out to the operation that waits.
func (w *weaver) standIn(list []tie, l, last catalogue.Link) []tie {
	t := tie{from: l.From, to: last.To, fromStart: startOfFrom(l), toEnd: endOfTo(last)}
	if slices.ContainsFunc(list, func(x tie) bool {
		return x.from == t.from && x.fromStart == t.fromStart && x.toEnd == t.toEnd && x.lag == nil
	}) {
		return list
	}
	t.why = fmt.Sprintf("after %s, in the place of %s, which is not in this job: %s",
		w.picked[l.From].Name, w.c.Operation(last.From).Name, last.Reason)
	return append(list, t)
}

func startOfFrom(l catalogue.Link) bool {
	return l.Type == catalogue.StartStart || l.Type == catalogue.StartFinish
}

func endOfTo(l catalogue.Link) bool {
	return l.Type == catalogue.FinishFinish || l.Type == catalogue.StartFinish
}

// tie puts a link between two operations into the network. A lag counts from
// the end of attended work, which of work done outside is when it is back.
func (w *weaver) tie(t tie) {
	w.ties[t.from] = append(w.ties[t.from], t.to)
	from, to := w.strands[t.from], w.strands[t.to]
	l := schedule.Link{Kind: schedule.FinishToStart}
	first, last := from.last, to.first
	switch {
	case t.fromStart && t.toEnd:
		first, last, l.Kind = from.first, to.last, schedule.StartToFinish
	case t.fromStart:
		first, l.Kind = from.first, schedule.StartToStart
	case t.toEnd:
		last, l.Kind = to.last, schedule.FinishToFinish
	}
	l.From, l.To = w.Activities[first].Name, w.Activities[last].Name
	back := w.away(t.from)
	if t.fromStart {
		back = 0
	}
	switch {
	case t.lag != nil:
		l.Lag = schedule.ElapsedLag(back + *t.lag)
	case t.attended:
		l.Lag = schedule.ElapsedLag(back)
	}
	w.link(l, t.why)
}

// awaitReveal makes a line that is only likely wait for the task that reveals
// it.
func (w *weaver) awaitReveal(code catalogue.Code) {
	by := w.picked[code].RevealedBy
	if w.picked[by] == nil || w.reaches(code, by) {
		return
	}
	w.tie(tie{from: by, to: code, attended: true, why: fmt.Sprintf("only known after %s", w.picked[by].Name)})
}

// awaitParts makes an operation done in house wait for what must be ordered
// for it.
func (w *weaver) awaitParts(code catalogue.Code) {
	op, l := w.c.Operation(code), w.picked[code]
	if op.Lead == nil || l.Making == catalogue.Outside || w.Activities[w.strands[code].first].UnderWay {
		return
	}
	lead := weeksOf(op.Lead.Weeks.Likely)
	takes := fmt.Sprintf("%s: %s weeks from the order", op.Lead.Item, op.Lead.Weeks.Likely)
	ordered := false
	for _, after := range []catalogue.Code{op.Lead.After, l.RevealedBy} {
		if after == intakeOperation && after == op.Lead.After {
			continue
		}
		if at, ok := w.ended(after); ok && w.picked[after] == nil {
			ordered = true
			w.release(code, minutesAfter(at, lead), fmt.Sprintf("%s, on %s", takes, dayOf(at)))
		}
		if w.picked[after] == nil || w.reaches(code, after) {
			continue
		}
		ordered = true
		w.tie(tie{from: after, to: code, lag: &lead, why: fmt.Sprintf("%s, after %s", takes, w.picked[after].Name)})
	}
	if ordered {
		return
	}
	why := takes + ", on acceptance"
	if w.job.underWay {
		why = takes + ", taken as sent when the job was accepted"
	}
	w.release(code, minutesAfter(w.job.accepted, lead), why)
}

// awaitAll makes the last operation wait for everything that nothing else
// waits for, so that ready means ready.
func (w *weaver) awaitAll() {
	if w.picked[readyOperation] == nil {
		return
	}
	for _, code := range w.order {
		if code != readyOperation && len(w.ties[code]) == 0 && !w.reaches(readyOperation, code) {
			w.tie(tie{from: code, to: readyOperation, why: fmt.Sprintf("after %s: nothing is left undone", w.picked[code].Name)})
		}
	}
}

// reaches reports whether one operation comes before another by the ties made
// so far.
func (w *weaver) reaches(from, to catalogue.Code) bool {
	seen := map[catalogue.Code]bool{}
	open := []catalogue.Code{from}
	for len(open) > 0 {
		code := open[0]
		open = open[1:]
		if code == to {
			return true
		}
		for _, next := range w.ties[code] {
			if !seen[next] {
				seen[next] = true
				open = append(open, next)
			}
		}
	}
	return false
}
