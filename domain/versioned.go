package domain

import "time"

// Versioned is a stored value with its version, which an update must name.
type Versioned[T any] struct {
	Value     T
	Version   int64
	CreatedAt time.Time
}
