package domain

import (
	"time"

	"github.com/google/uuid"
)

// Actor is who does something, and in which request. Every write carries one.
type Actor struct {
	Workshop  uuid.UUID
	User      uuid.UUID
	Token     uuid.UUID // zero where no token was used, as in the demo
	Role      Role
	RequestID string
	Reason    string // given by the user, where one was asked for
}

// Require returns a Forbidden Fault unless the actor's role may do the act.
func (a Actor) Require(act Act) error {
	if a.Role.May(act) {
		return nil
	}
	return Refuse(Forbidden, "the role %s may not do this (it needs %s)", a.Role, act)
}

// Versioned is a stored value with the version that an update must name.
type Versioned[T any] struct {
	Value     T
	Version   int64
	CreatedAt time.Time
}
