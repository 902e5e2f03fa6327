package api

import (
	"encoding/json"
	"errors"

	"bentside/api/app"
	"bentside/domain"
)

// existingIfSame answers a PUT with If-None-Match: * whose id is taken. If what is stored is what
// was sent, the request has succeeded before and succeeds again, so that work written offline may
// be sent until an answer arrives; anything else is refused.
func existingIfSame[T any](
	err error, read func() (app.Versioned[T], error), isSent func(T) bool,
) (app.Versioned[T], error) {
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Conflict {
		return app.Versioned[T]{}, err
	}
	there, readErr := read()
	switch {
	case readErr != nil:
		return there, err // the conflict is not about the id
	case isSent(there.Value):
		return there, nil
	default:
		return there, domain.Refuse(domain.Stale,
			"something else is stored under that id and is not replaced")
	}
}

// sameJSON reports whether two values have the same JSON; decimals are compared by value, whatever
// their trailing zeros.
func sameJSON(a, b any) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && string(x) == string(y)
}
