package app

import (
	"context"
	"crypto/rand"
	"fmt"
	"io"
	"log/slog"
	"sync"
	"time"

	"bentside/api/auth"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/google/uuid"
)

// App is the service's use cases over one store.
type App struct {
	store      *postgres.Store
	now        func() time.Time
	log        *slog.Logger
	random     io.Reader
	shipped    func() (*catalogue.Catalogue, error) // what ships with this service
	catalogues sync.Map                             // postgres.Hash → *catalogue.Catalogue; documents never change
}

// New makes the use cases; now is the clock that everything is recorded by.
func New(store *postgres.Store, now func() time.Time, log *slog.Logger) *App {
	return &App{store: store, now: now, log: log, random: rand.Reader, shipped: catalogue.Shipped}
}

// Actor is who does something.
type Actor = domain.Actor

// Versioned is a stored value with the version that an update must name.
type Versioned[T any] = domain.Versioned[T]

// Authenticate finds who holds a token; an unknown, expired or revoked one is
// an Unauthenticated Fault.
func (a *App) Authenticate(ctx context.Context, secret string) (Actor, error) {
	return a.store.Bearer(ctx, auth.Hash(secret), a.now())
}

// Ready reports whether requests can be served.
func (a *App) Ready(ctx context.Context) error { return a.store.Ready(ctx) }

type txKey struct{}

// write runs fn in the transaction that the context carries, or else in one of
// its own.
func (a *App) write(ctx context.Context, actor Actor, act domain.Act, fn func(*postgres.Tx) error) error {
	if err := actor.Require(act); err != nil {
		return err
	}
	if tx, ok := ctx.Value(txKey{}).(*postgres.Tx); ok {
		return fn(tx)
	}
	return a.store.Write(ctx, actor, a.now(), fn)
}

// Read gives the reader for an actor's workshop; inside Once it sees what the
// request has changed so far.
func (a *App) Read(ctx context.Context, actor Actor) postgres.Reader {
	if tx, ok := ctx.Value(txKey{}).(*postgres.Tx); ok {
		return tx.Reader
	}
	return a.store.Read(actor.Workshop)
}

// newID makes an id in order of time (UUIDv7), or keeps the one that a client
// brought, so that what was written offline is sent once.
func newID(brought uuid.UUID) uuid.UUID {
	if brought != uuid.Nil {
		return brought
	}
	id, err := uuid.NewV7()
	if err != nil {
		panic(fmt.Sprintf("the system gives no randomness: %v", err))
	}
	return id
}

// first is the stored value of something just made in a transaction.
func first[T any](v T, tx *postgres.Tx) Versioned[T] {
	return Versioned[T]{Value: v, Version: 1, CreatedAt: tx.Now()}
}
