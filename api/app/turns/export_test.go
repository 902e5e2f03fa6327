package turns

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// Line is a queue of computations whose turns a test gives back itself.
type Line struct{ t *Queue }

// Place is a place in a Line.
type Place struct {
	Workshop uuid.UUID
	Long     bool
	k        *ticket
}

// NewLine returns an empty queue.
func NewLine(l Limits) Line { return Line{New(l)} }

// Join takes a place in the queue, or is refused.
func (l Line) Join(ctx context.Context, workshop uuid.UUID, isLong bool) (Place, error) {
	p := Place{workshop, isLong, &ticket{long: isLong, given: make(chan struct{})}}
	return p, l.t.line(ctx, workshop, p.k)
}

// Width returns how many turns the place was given so far.
func (p Place) Width() int {
	select {
	case <-p.k.given:
		return p.k.width
	default:
		return 0
	}
}

// Leave gives the turns of a place back, or the place itself.
func (l Line) Leave(p Place) {
	if !l.t.withdraw(p.Workshop, p.k) {
		l.t.end(p.Workshop, p.k, 0)
	}
}

// State returns how busy the queue is.
func (l Line) State() State { return l.t.State() }

// Search begins the search of a long computation that has its turn.
func (l Line) Search(ctx context.Context, p Place, limit time.Duration) context.Context {
	ctx, _ = l.t.Search(context.WithValue(ctx, ticketKey{}, p.k), limit) //nolint:govet // it ends by itself
	return ctx
}

// Left returns how long the search of a place may still go on.
func (l Line) Left(p Place) time.Duration { return time.Until(l.t.searches[p.k].end) }
