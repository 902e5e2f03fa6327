package api

import (
	"context"
	"net/http"
	"unicode/utf8"

	"bentside/api/app"
	"bentside/api/auth"

	"github.com/labstack/echo/v4"
)

type actorKey struct{}

// maxReason bounds the reason that goes into the feed with a change.
const maxReason = 200

// authenticate finds who sends the request. Requests for no known operation
// pass: they end in 404 or 405, which say no more than the published contract.
func (d *Door) authenticate(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		op := operationOf(c)
		if op == nil || op.public {
			return next(c)
		}
		r := c.Request()
		secret, sent := auth.FromHeader(r.Header.Get(echo.HeaderAuthorization))
		if !sent {
			return refuse(unauthenticated, "send a token as \"Authorization: Bearer …\"")
		}
		actor, err := d.app.Authenticate(r.Context(), secret)
		if err != nil {
			return err
		}
		if actor.Reason, err = changeReason(r); err != nil {
			return err
		}
		actor.RequestID = requestID(r.Context())
		c.SetRequest(r.WithContext(context.WithValue(r.Context(), actorKey{}, actor)))
		return next(c)
	}
}

// changeReason is what the client says a change is for; empty where it says
// nothing.
func changeReason(r *http.Request) (string, error) {
	reason := r.Header.Get("Change-Reason")
	if !utf8.ValidString(reason) || utf8.RuneCountInString(reason) > maxReason {
		return "", refuseField("#/header/Change-Reason", "must be UTF-8 of at most %d characters", maxReason)
	}
	return reason, nil
}

// bearerChallenge names the scheme and nothing else: RFC 6750 wants no error
// code where no token was sent, and where one was the problem says the rest.
const bearerChallenge = `Bearer realm="bentside"` //nolint:gosec // G101: a challenge, no credential

// actorOf is who sent the request of a context that went through authenticate.
func actorOf(ctx context.Context) app.Actor {
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
