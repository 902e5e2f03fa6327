package app

import (
	"context"
	"errors"

	"bentside/api/app/turns"
	"bentside/api/postgres"
	"bentside/domain"
)

// computed is what was computed from a snapshot, with what it was computed from.
type computed[In, Out any] struct {
	postgres.Snapshot // which can't be read any more
	in                In
	out               Out
}

// duration says how long a computation takes, which decides about its turn.
type duration int

const (
	brief duration = iota // well below a second, for most workshops
	long                  // seconds
	alone                 // brief; one at a time in a workshop, since each moves what others rest on
)

// compute waits for its turn, loads a snapshot of the actor's workshop and then, with no
// connection, computes from it. Within Once it first ends the transaction: see keyed.
func compute[In, Out any](
	ctx context.Context, a *App, actor Actor, takes duration,
	load func(context.Context, postgres.Snapshot) (In, error),
	run func(context.Context, In) (Out, error),
) (computed[In, Out], error) {
	work := func(ctx context.Context) (any, error) {
		var c computed[In, Out]
		ctx, leave, err := a.turns.Take(ctx, actor.Workshop, takes == long)
		if err != nil {
			return c, err
		}
		defer leave()
		err = a.store.Snapshot(ctx, actor.Workshop, a.now(), func(s postgres.Snapshot) (err error) {
			c.Snapshot = s
			c.in, err = load(ctx, s)
			return err
		})
		if err != nil {
			return c, err
		}
		turns.Lowered(func() { c.out, err = run(ctx, c.in) })
		if err != nil {
			return c, err
		}
		return c, ctx.Err() // what was cut short isn't the answer
	}
	var (
		done any
		err  error
	)
	if k, within := ctx.Value(keyedKey{}).(*keyed); within {
		k.alone = k.alone || takes == alone
		done, err = k.result(work)
	} else {
		done, err = work(ctx)
	}
	c, _ := done.(computed[In, Out])
	return c, err
}

// movedError says what changed while something was computed that rests on it.
type movedError struct{ what string }

func (e *movedError) Error() string { return e.what + " changed meanwhile" }

// maxComputations is how often something is computed whose foundations change meanwhile.
const maxComputations = 3

// computeAndWrite computes from a snapshot and then calls write in a short transaction. Where write
// returns a movedError, nothing is kept and all is computed anew, up to maxComputations.
func computeAndWrite[In, Out any](
	ctx context.Context, a *App, actor Actor, act domain.Permission, takes duration,
	load func(context.Context, postgres.Snapshot) (In, error),
	run func(context.Context, In) (Out, error),
	write func(*postgres.Tx, computed[In, Out]) error,
) error {
	if err := actor.Require(act); err != nil {
		return err
	}
	tries := &keyed{}
	if k, within := ctx.Value(keyedKey{}).(*keyed); within {
		tries = k
	} else if takes == alone {
		leave, err := a.lane(ctx, actor)
		if err != nil {
			return err
		}
		defer leave()
	}
	for {
		c, err := compute(ctx, a, actor, takes, load, run)
		if err != nil {
			return err
		}
		err = a.write(ctx, actor, act, func(tx *postgres.Tx) error { return write(tx, c) })
		var moved *movedError
		if !errors.As(err, &moved) {
			return err
		}
		if tries.moved++; tries.moved == maxComputations {
			return domain.Refuse(domain.Unavailable,
				"%s changed each of the %d times that this was worked out; send it again", moved.what,
				maxComputations)
		}
		tries.forget()
	}
}

// lane waits until no other computation goes on that is to be alone in the actor's workshop, and
// returns what lets the next one go on.
func (a *App) lane(ctx context.Context, actor Actor) (leave func(), err error) {
	return a.ongoing.enter(ctx, requestID{workshop: actor.Workshop}, a.turns.Limits().Quota)
}
