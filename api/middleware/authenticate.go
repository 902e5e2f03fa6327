package middleware

import (
	"context"
	"net/http"
	"time"
	"unicode/utf8"

	"bentside/api/app"
	"bentside/api/auth"
	"bentside/api/problem"

	"github.com/labstack/echo/v4"
)

type actorKey struct{}

// maxReason is the longest reason for a change, which is stored in the feed.
const maxReason = 200

// authenticate identifies who sends the request. Requests for an unknown operation pass: they end
// in 404 or 405, which reveal no more than the published contract.
func (ch *Chain) authenticate(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		r := c.Request()
		secret, sent := auth.FromHeader(r.Header.Get(echo.HeaderAuthorization))
		if !sent {
			return problem.Refuse(problem.Unauthenticated, "send a token as \"Authorization: Bearer …\"")
		}
		// under a key the answer may be stored already
		if r.Header.Get(idempotencyHeader) == "" {
			if err := ch.app.RefuseEarly(r.Context(), secret, op.id); err != nil {
				hold(r.Context())
				return err
			}
		}
		actor, err := ch.app.Authenticate(r.Context(), secret)
		if err != nil {
			return err
		}
		if actor.Reason, err = changeReason(r); err != nil {
			return err
		}
		actor.RequestID = requestID(r.Context())
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), actorKey{}, actor)))
		err = next(c)
		ch.app.RefusedATurn(actor, secret, op.id, err)
		return err
	}
}

// holdTime is how long an early refusal is held back: it slows down whoever asks again at once,
// whatever Retry-After says, and is well within the time in which a client is to know.
const holdTime = 30 * time.Millisecond

func hold(ctx context.Context) {
	held := time.NewTimer(holdTime)
	defer held.Stop()
	select {
	case <-held.C:
	case <-ctx.Done():
	}
}

// changeReason returns the client's reason for a change, or "".
func changeReason(r *http.Request) (string, error) {
	reason := r.Header.Get("Change-Reason")
	if !utf8.ValidString(reason) || utf8.RuneCountInString(reason) > maxReason {
		return "", problem.RefuseField("#/header/Change-Reason", "must be UTF-8 of at most %d characters",
			maxReason)
	}
	return reason, nil
}

// Actor returns who sent the request of a context. It panics if no token was required.
func Actor(ctx context.Context) app.Actor {
	a, ok := findActor(ctx)
	if !ok {
		panic("a handler that needs an actor is reachable without a token")
	}
	return a
}

func findActor(ctx context.Context) (app.Actor, bool) {
	a, ok := ctx.Value(actorKey{}).(app.Actor)
	return a, ok
}
