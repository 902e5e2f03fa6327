package plan

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// ended returns when the work on an operation of the job ended, where it is over or its next
// sitting hasn't begun.
func (b *networkBuilder) ended(code catalogue.Code) (time.Time, bool) {
	i := slices.IndexFunc(b.job.ended, func(x EndedWork) bool { return x.Operation == code })
	if i < 0 {
		return time.Time{}, false
	}
	return b.job.ended[i].Ended, true
}

// waitForTail keeps an operation from starting before what is left of the lag of a link from work
// that is over, or of that work's tail. last is the link that ends at the operation: l itself, or
// that of an operation between them that isn't in the job. Links that count from a start, or to a
// finish, are met once the work is over.
func (b *networkBuilder) waitForTail(code catalogue.Code, l, last catalogue.Link) {
	at, ok := b.ended(l.From)
	if !ok || !l.Hard || b.lines[l.From] != nil || fromStart(l) || toFinish(last) {
		return
	}
	op := b.c.Operation(l.From)
	lag := minutesOf(op.Tail.Likely)
	if l == last && l.LagHours != nil {
		lag = minutesOf(*l.LagHours)
	}
	why := fmt.Sprintf("after %s, done on %s: %s", op.Name, dayOf(at), last.Reason)
	b.release(code, minutesAfter(at, lag), why)
}

// release keeps an operation from starting before an instant, unless it is under way.
func (b *networkBuilder) release(code catalogue.Code, at time.Time, why string) {
	first := b.chains[code].first
	if a := &b.Activities[first]; !a.UnderWay && !at.Before(a.Release) {
		a.Release, b.releaseReasons[first] = at, why
	}
}

func minutesAfter(at time.Time, by schedule.Minutes) time.Time {
	return at.Add(time.Duration(by) * time.Minute)
}

// reserveForTails reserves the stations where something has been drying or settling since its work
// was over, or since its last sitting, and keeps the instrument there.
func (b *networkBuilder) reserveForTails() {
	for _, x := range b.job.ended {
		op := b.c.Operation(x.Operation)
		if op == nil || x.Outside {
			continue
		}
		rest := minutesOf(op.Tail.Likely)
		if b.lines[x.Operation] != nil {
			rest = gapOf(op)
		}
		if rest <= 0 {
			continue
		}
		end := minutesAfter(x.Ended, rest)
		for _, need := range b.placeNeeds(op) {
			if need.Hold == schedule.HoldThroughTail {
				b.reserve(b.instrumentName()+" "+string(x.Operation), need, x.Ended, end)
			}
		}
	}
}
