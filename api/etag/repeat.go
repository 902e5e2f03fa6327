package etag

import (
	"encoding/json"
	"errors"

	"bentside/domain"
)

// ExistingIfSame answers a PUT with If-None-Match: * whose id is taken. If what is stored is what
// was sent, the request has succeeded before and succeeds again, so that work written offline may
// be sent until an answer arrives; anything else is refused.
func ExistingIfSame[T any](
	err error, read func() (domain.Versioned[T], error), isSent func(T) bool,
) (domain.Versioned[T], error) {
	var fault *domain.Fault
	if !errors.As(err, &fault) || fault.Kind != domain.Conflict {
		return domain.Versioned[T]{}, err
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

// SameJSON reports whether two values have the same JSON; decimals are compared by value, whatever
// their trailing zeros.
func SameJSON(a, b any) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && string(x) == string(y)
}
