package domain

import (
	"fmt"
	"slices"
	"time"

	"bentside/domain/catalogue"
	"bentside/schedule"
)

// ended is when the work on an operation of the job ended that is over, or whose
// next sitting has not begun.
func (w *weaver) ended(code catalogue.Code) (time.Time, bool) {
	i := slices.IndexFunc(w.job.worked, func(x WorkedOn) bool { return x.Operation == code })
	if i < 0 {
		return time.Time{}, false
	}
	return w.job.worked[i].Ended, true
}

// awaitTail lets an operation wait for what is left of the lag of a link from work
// that is over, or of that work's tail. last is the link that ends at the operation:
// l itself, or that of an operation between them that is not in the job. Links that
// count from a start, or to an end, are met by work that is over.
func (w *weaver) awaitTail(code catalogue.Code, l, last catalogue.Link) {
	at, ok := w.ended(l.From)
	if !ok || !l.Hard || w.picked[l.From] != nil || startOfFrom(l) || endOfTo(last) {
		return
	}
	op := w.c.Operation(l.From)
	lag := minutesOf(op.Tail.Likely)
	if l == last && l.LagHours != nil {
		lag = minutesOf(*l.LagHours)
	}
	w.release(code, minutesAfter(at, lag), fmt.Sprintf("after %s, done on %s: %s", op.Name, dayOf(at), last.Reason))
}

// release keeps an operation that is not under way from starting before an instant.
func (w *weaver) release(code catalogue.Code, at time.Time, why string) {
	first := w.strands[code].first
	if a := &w.Activities[first]; !a.UnderWay && !at.Before(a.Release) {
		a.Release, w.rests[first] = at, why
	}
}

func minutesAfter(at time.Time, by schedule.Minutes) time.Time {
	return at.Add(time.Duration(by) * time.Minute)
}

// keepPlaces keeps the places in which something dries or settles since its work is
// over.
func (w *weaver) keepPlaces() {
	for _, x := range w.job.worked {
		op := w.c.Operation(x.Operation)
		if op == nil || x.Outside || w.picked[x.Operation] != nil || !op.Tail.Likely.IsPositive() {
			continue
		}
		place, ok := w.place(op.Station)
		if !ok {
			continue
		}
		for _, need := range w.placeNeeds(op, place) {
			if need.Hold == schedule.HoldThroughTail {
				w.keep(w.owner()+" "+string(x.Operation), need, x.Ended, minutesAfter(x.Ended, minutesOf(op.Tail.Likely)))
			}
		}
	}
}
