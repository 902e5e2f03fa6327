package domain

import (
	"github.com/google/uuid"
)

// Actor is the user who does something, and the request in which it is done. Every write carries
// one.
type Actor struct {
	Workshop  uuid.UUID
	User      uuid.UUID
	Token     uuid.UUID // zero where no token was used, as in the demo
	Role      Role
	RequestID string
	Reason    string // given by the user, where one was asked for
}

// Require returns a Forbidden Fault unless the actor's role has the permission.
func (a Actor) Require(p Permission) error {
	if a.Role.May(p) {
		return nil
	}
	return Refuse(Forbidden, "the role %s lacks the permission %s", a.Role, p)
}
