package app

import (
	"context"
	"sync"
	"time"

	"bentside/api/auth"
	"bentside/domain"

	"github.com/google/uuid"
)

// pressed remembers who was refused a turn a moment ago, so that the next request of the kind is
// refused, while that holds, before the database is asked who sends it. What is refused must cost
// next to nothing, or a flood takes the connections and the processors of everybody else.
type pressed struct {
	mu     sync.Mutex
	lately map[press]pressing
}

// press is a token's hash with an operation that asked for a turn.
type press struct {
	token     [32]byte
	operation string
}

// pressing is whose token it is, when that was known, and whether a request is asking anew.
type pressing struct {
	workshop uuid.UUID
	known    time.Time
	asking   bool
}

// After pressedFor one request goes on to ask anew whose token it is, so that a flood doesn't ask
// all at once; after twice as long they all do.
const (
	pressedFor  = time.Second
	mostPressed = 1024
)

// RefusedATurn notes that an operation of an actor met err. If it was refused because too much is
// being worked out, RefuseEarly answers the next ones.
func (a *App) RefusedATurn(actor Actor, secret, operation string, err error) {
	if !faultIs(err, domain.TooMany) && !faultIs(err, domain.Busy) {
		return
	}
	p := &a.pressed
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.lately == nil || len(p.lately) >= mostPressed {
		p.lately = map[press]pressing{}
	}
	p.lately[press{auth.Hash(secret), operation}] = pressing{
		workshop: actor.Workshop, known: time.Now(),
	}
}

// RefuseEarly returns the Fault with which an operation would be refused a turn, if that is known
// without asking the database who holds the token; nil otherwise.
func (a *App) RefuseEarly(ctx context.Context, secret, operation string) error {
	workshop, is := a.pressed.by(press{auth.Hash(secret), operation}, time.Now())
	if !is {
		return nil
	}
	return a.turns.Refuse(ctx, workshop)
}

// by returns whose token it is, if the request isn't to ask the database.
func (p *pressed) by(who press, now time.Time) (uuid.UUID, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	known, is := p.lately[who]
	age := now.Sub(known.known)
	switch {
	case !is:
		return uuid.Nil, false
	case age > 2*pressedFor:
		delete(p.lately, who)
		return uuid.Nil, false
	case age > pressedFor && !known.asking:
		known.asking = true
		p.lately[who] = known
		return uuid.Nil, false
	}
	return known.workshop, true
}
