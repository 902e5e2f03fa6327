package turns

import (
	"context"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
)

// storeTime is what is left of a request's time for checking and storing what a search has found.
const storeTime = 4 * time.Second

// searching is the search of a long computation, which gives the best that it has found by its end.
type searching struct {
	end  time.Time
	stop *time.Timer
}

// Search bounds the search of a long computation: by the limit that it was given, by the time of
// its request, and by that of others who wait for the turn. Whenever one more waits, the search
// shares with it the time that it had left.
func (t *Queue) Search(
	ctx context.Context, limit time.Duration,
) (context.Context, context.CancelFunc) {
	k := ticketOf(ctx)
	end, limited := ctx.Deadline()
	t.mu.Lock()
	defer t.mu.Unlock()
	if limited {
		limit = min(limit, time.Until(end)/time.Duration(1+t.longWaiting())-storeTime)
	}
	ctx, cancel := context.WithCancel(ctx)
	t.searches[k] = &searching{time.Now().Add(limit), time.AfterFunc(limit, cancel)}
	return ctx, cancel
}

// shorten lets the searches under way share the time that they had left, and the time for storing
// what was found, with one that waits.
func (t *Queue) shorten() {
	for _, s := range t.searches {
		left := (time.Until(s.end) - storeTime) / 2
		s.end = time.Now().Add(left)
		s.stop.Reset(left)
	}
}

// Of long computations, so many may wait: of one workshop, and of all. More would get too little
// time each.
const (
	longOfOne = 1
	longOfAll = 3
)

// refuseLong returns the Fault with which one more long computation of a workshop is refused now,
// or nil.
func (t *Queue) refuseLong(workshop uuid.UUID) error {
	const soon = 5 * time.Second
	if t.longIn(workshop) >= longOfOne {
		t.over++
		return &domain.Fault{
			Kind: domain.TooMany, RetryAfter: soon,
			Detail: "a plan of the workshop waits for another one already; send the request again later",
		}
	}
	if t.longWaiting() >= longOfAll {
		t.busy++
		return &domain.Fault{
			Kind: domain.Busy, RetryAfter: soon,
			Detail: "more plans wait than the service can make in time; send the request again later",
		}
	}
	return nil
}

// longIn returns how many long computations of a workshop wait.
func (t *Queue) longIn(workshop uuid.UUID) int {
	n := 0
	for _, k := range t.lines[workshop] {
		if k.long {
			n++
		}
	}
	return n
}

// longWaiting returns how many long computations wait.
func (t *Queue) longWaiting() int {
	n := 0
	for workshop := range t.lines {
		n += t.longIn(workshop)
	}
	return n
}
