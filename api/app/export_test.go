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

// TakeTurn takes a turn of the service's queue, as a computation does.
func (a *App) TakeTurn(ctx context.Context, workshop uuid.UUID) (leave func(), err error) {
	_, leave, err = a.turns.Take(ctx, workshop, false)
	return leave, err
}

// PressedFor is how long it is believed, without asking the database, whose token a refused one is.
const PressedFor = pressedFor

// Age makes all that is remembered of refused tokens so much older.
func (a *App) Age(by time.Duration) {
	for who, known := range a.pressed.lately {
		known.known = known.known.Add(-by)
		a.pressed.lately[who] = known
	}
}
