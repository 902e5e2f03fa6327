package app

import (
	"context"
	"time"

	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// Ship replaces the shipped catalogue, as a later version of the service would.
func (a *App) Ship(c *catalogue.Catalogue) {
	a.shipped = func() (*catalogue.Catalogue, error) { return c, nil }
}

// Line is a queue of computations whose turns a test gives back itself.
type Line struct{ t *turns }

// Place is a place in a Line.
type Place struct {
	Workshop uuid.UUID
	Long     bool
	k        *ticket
}

// NewLine returns an empty queue.
func NewLine(l Limits) Line { return Line{newTurns(l)} }

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

// Turns returns how busy the queue is.
func (l Line) Turns() Turns { return (&App{turns: l.t}).Turns() }

// TakeTurn takes a turn of the service's queue, as a computation does.
func (a *App) TakeTurn(ctx context.Context, workshop uuid.UUID) (leave func(), err error) {
	_, leave, err = a.turns.take(ctx, workshop, brief)
	return leave, err
}

// Workers returns how many turns there are.
func (a *App) Workers() int { return a.turns.limits.Workers }

// Lowered runs f as a computation is run.
var Lowered = lowered

// PressedFor is how long it is believed, without asking the database, whose token a refused one is.
const PressedFor = pressedFor

// Age makes all that is remembered of refused tokens so much older.
func (a *App) Age(by time.Duration) {
	for who, known := range a.pressed.lately {
		known.known = known.known.Add(-by)
		a.pressed.lately[who] = known
	}
}

// Line returns the service's own queue.
func (a *App) Line() Line { return Line{a.turns} }

// Search begins the search of a long computation that has its turn.
func (l Line) Search(ctx context.Context, p Place, limit time.Duration) context.Context {
	ctx, _ = l.t.search(context.WithValue(ctx, ticketKey{}, p.k), limit) //nolint:govet // it ends by itself
	return ctx
}

// Left returns how long the search of a place may still go on.
func (l Line) Left(p Place) time.Duration { return time.Until(l.t.searches[p.k].end) }
