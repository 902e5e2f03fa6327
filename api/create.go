package api

import (
	"encoding/json"
	"errors"

	"bentside/api/app"
	"bentside/domain"
)

// orThere settles a PUT with If-None-Match: * that found its id taken. Where
// what is there is just what was sent, the request has evidently succeeded
// before and succeeds again, so that what was written offline may be sent as
// often as it takes; anything else is not replaced.
func orThere[T any](err error, read func() (app.Versioned[T], error), isSent func(T) bool) (app.Versioned[T], error) {
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Conflict {
		return app.Versioned[T]{}, err
	}
	there, readErr := read()
	switch {
	case readErr != nil:
		return there, err // the conflict is about something else than the id
	case isSent(there.Value):
		return there, nil
	default:
		return there, domain.Refuse(domain.Stale, "something else is under that id, and it is not replaced")
	}
}

// sameJSON reports whether two values are written alike: decimals by value,
// whatever their trailing zeros.
func sameJSON(a, b any) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && string(x) == string(y)
}
